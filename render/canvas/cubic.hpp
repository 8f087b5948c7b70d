#pragma once

#include <vector>

namespace sweepflux::render {

/// A curve through points: cubic pieces with a common slope at each point [Hermite].
class Cubic {
 public:
  enum class Slopes {
    monotone,  ///< never beyond the points' own range [Fritsch 1980]
    smooth     ///< of the parabola through a point and its neighbours; exact for a parabola
  };
  /// @param x  rising, two or more; y as many
  Cubic(std::vector<double> x, std::vector<double> y, Slopes slopes);

  /// Outside the points the outermost piece goes on.
  [[nodiscard]] double at(double x) const;

 private:
  std::vector<double> x_;
  std::vector<double> y_;
  std::vector<double> slope_;
};

}  // namespace sweepflux::render
