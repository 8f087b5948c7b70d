#pragma once

#include "sweepflux/base/statistics.hpp"

#include <array>
#include <cstddef>
#include <utility>
#include <vector>

namespace sweepflux {

/// Says, row by row, whether a scale stands still: the last and the one-but-last stretch of a
/// window agree within their scatter.
class SteadyWatch {
 public:
  explicit SteadyWatch(double window_s = 6.0, double resolution_n = 0.0)
      : window_s_(window_s), resolution_n_(resolution_n) {}
  void add(double time_s, double force_n);
  /// False until the window is full.
  [[nodiscard]] bool steady() const;
  [[nodiscard]] double mean_n() const;
  /// Newest stretch minus the one before.
  [[nodiscard]] double trend_n() const;

 private:
  /// The stretch before the newest, and the newest.
  [[nodiscard]] std::array<RunningMoments, 2> halves() const;

  double window_s_;
  double resolution_n_;
  std::vector<std::pair<double, double>> recent_;
  std::size_t skip_ = 1;
  std::size_t seen_ = 0;
};

}  // namespace sweepflux
