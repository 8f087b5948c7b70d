#pragma once

#include "sweepflux/capture/log/read_steps.hpp"

#include <cstddef>
#include <optional>
#include <vector>

namespace sweepflux {

/// One stop of the rig, times since the start of its list; dwells are > 0.
using RigStop = StepRow;

[[nodiscard]] inline double end_s(const RigStop& stop) {
  return stop.start_s + stop.settle_s + stop.dwell_s;
}

/// Sums of a signal over equal cells of time, up to a bound.
class TimeCells {
 public:
  struct Cell {
    double sum = 0.0;
    double count = 0.0;

    [[nodiscard]] double mean() const { return sum / count; }
  };

  explicit TimeCells(std::size_t most) : most_(most) {}

  void set_length_s(double cell_s) { cell_s_ = cell_s; }
  [[nodiscard]] double length_s() const { return cell_s_; }
  /// @return false where the value is not kept: before the first cell, or beyond the last one
  bool add(double time_s, double value);
  [[nodiscard]] std::size_t size() const { return cells_.size(); }
  [[nodiscard]] const Cell& operator[](std::size_t i) const { return cells_[i]; }
  /// All values of cells [from, to) together.
  [[nodiscard]] Cell together(std::size_t from, std::size_t to) const;

 private:
  std::size_t most_;
  double cell_s_ = 0.0;
  std::vector<Cell> cells_;
};

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
  std::vector<double> edges_s_;  ///< start of each stop, and the end of the last
  double settle_s_ = 0.0;
  TimeCells cells_{200000};
};

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
  [[nodiscard]] double phase_cost(std::size_t phase) const;
  [[nodiscard]] double mirror_cost(std::size_t first) const;
  [[nodiscard]] std::size_t settling_cells() const;
  [[nodiscard]] double mean_of_cells(std::size_t from, std::size_t to) const;
  [[nodiscard]] double steps_over_unrest(double begin_s) const;

  StepPattern pattern_;
  std::size_t stops_ = 0;  ///< both ways
  std::optional<double> first_s_;
  double last_s_ = 0.0;
  TimeCells cells_{1U << 21};
};

}  // namespace sweepflux
