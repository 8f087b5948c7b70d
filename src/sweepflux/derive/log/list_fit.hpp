#pragma once

#include <cstddef>
#include <optional>
#include <vector>

namespace sweepflux {

struct RigStop;

/// Whether a list of stops fits a log that shows no positions: whether the signal takes its steps
/// when the list says. The signal is held against constant levels from stop to stop, before the
/// first and after the last, with the list begun at every moment in turn; square roots of the
/// speed, since turbulence grows with it. Memory grows with the log's length over a fraction of the
/// shortest stop, up to a bound.
class ListFit {
 public:
  /// @param stops  one or more; rising in time
  explicit ListFit(const std::vector<RigStop>& stops);

  /// @param time_s  since the start of the list as it was taken, >= 0
  void add(double time_s, double value);

  /// By how much later the list fits better than as it was taken, s, the sensor's lag in it;
  /// nothing when it does not, or when the steps are too small against the turbulence to say so. A
  /// delay within the settling of the list is no misfit.
  [[nodiscard]] std::optional<double> better_shift_s() const;

 private:
  struct Cell {
    double sum = 0.0;
    double count = 0.0;
  };

  std::vector<double> edges_s_;  ///< start of each stop, and the end of the last
  double settle_s_ = 0.0;
  double cell_s_ = 0.0;
  std::vector<Cell> cells_;
};

}  // namespace sweepflux
