#pragma once

#include "sweepflux/field/general/interpolants.hpp"

#include <memory>
#include <span>
#include <vector>

namespace sweepflux {

/// Thin-plate spline with a linear tail [Duchon 1977]: of all surfaces through the values the one
/// with least bending energy. Plane fields are met exactly. It may swing beyond the values on
/// both sides of a sharp edge: speeds can come out negative, and the map must say so.
///
/// The spline's weights lie in the space orthogonal to plane fields, where the matrix is positive
/// definite; so a Cholesky factor of N - 3 does, at half the work of a general solve.
///
/// Cost: N^3/3 once, then N per value. Safe from several threads.
class ThinPlate {
 public:
  /// @param values  merged(); noise_sd is not used: values are met exactly
  /// @throws NumericalError  all places in one line, or too many for a dense solve
  explicit ThinPlate(const ScatteredValues& values);
  ~ThinPlate();
  ThinPlate(ThinPlate&&) noexcept;
  ThinPlate& operator=(ThinPlate&&) noexcept;

  [[nodiscard]] std::vector<double> at(std::span<const PlanePoint> wanted) const;

 private:
  struct Solved;
  std::unique_ptr<const Solved> solved_;
};

}  // namespace sweepflux
