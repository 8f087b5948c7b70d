#pragma once

#include "sweepflux/derive/log/dwells.hpp"

#include <vector>

namespace sweepflux {

/// A regular sweep that the rig was commanded to make.
struct StepPattern {
  double start = 0.0;           ///< position of the first stop, [rad] or [m]
  double step = 0.0;            ///< from stop to stop, signed, not 0
  std::size_t stops = 0;        ///< >= 2, one way
  double settle_s = 0.0;        ///< >= 0; 0: not stated
  double dwell_s = 0.0;         ///< > 0
  double move_s = 0.0;          ///< >= 0, the rig's own move, before settling begins
  bool there_and_back = false;  ///< then all stops again in reverse, the turning point twice

  [[nodiscard]] double period_s() const { return move_s + settle_s + dwell_s; }
};

/// @throws InputError  a field is out of its range
[[nodiscard]] std::vector<RigStop> list_stops(const StepPattern& pattern);

/// Finds when a regular sweep began, from the signal alone: the phase at which the readings vary
/// least within the dwells, then the stop at which it must have begun. Add all values first.
class PatternFinder {
 public:
  explicit PatternFinder(const StepPattern& pattern);

  void add(double time_s, double value);

  /// @return the log's time at which the rig was commanded to go to the first stop
  /// @throws NumericalError  the signal does not show the steps; or the log is shorter than the
  ///                         sweep; or longer, and nothing tells which stop is the first
  [[nodiscard]] double begin_s() const;

 private:
  struct Cell {
    double sum = 0.0;
    double count = 0.0;
  };

  [[nodiscard]] double phase_cost(std::size_t phase) const;
  [[nodiscard]] double mirror_cost(std::size_t first) const;
  [[nodiscard]] std::size_t settling_cells() const;
  [[nodiscard]] double mean_of_cells(std::size_t from, std::size_t to) const;
  [[nodiscard]] double steps_over_unrest(double begin_s) const;

  StepPattern pattern_;
  double cell_s_ = 0.0;
  bool started_ = false;
  double first_s_ = 0.0;
  double last_s_ = 0.0;
  std::vector<Cell> cells_;
};

}  // namespace sweepflux
