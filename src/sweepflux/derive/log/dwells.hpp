#pragma once

#include "sweepflux/capture/log/read_log.hpp"
#include "sweepflux/derive/log/block_series.hpp"
#include "sweepflux/derive/log/clock_watch.hpp"
#include "sweepflux/derive/log/settling.hpp"

#include <deque>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace sweepflux {

/// One stop of the rig on a list, times since the begin of the list.
struct RigStop {
  double position = 0.0;  ///< [rad] or [m]
  double start_s = 0.0;   ///< when the rig is told to go there
  double settle_s = 0.0;  ///< 0: not stated
  double dwell_s = 0.0;   ///< > 0, after settling
};

/// How dwells are found.
struct DwellOptions {
  std::optional<double> settle_s;   ///< >= 0; empty: from the step response
  double position_tolerance = 0.0;  ///< [rad] or [m], 0: a quarter of a degree, 2 mm
  double shortest_s = 0.0;          ///< 0: 0.3 of the usual rest
  std::vector<RigStop> stops;       ///< empty: from the position column
  std::optional<double> begin_s;    ///< log's time at the begin of the list; empty: first row
  std::size_t most_held = 40;       ///< rests after which settling is decided at the latest
  Motion motion = Motion::swivel;
};

/// One rest of the rig, reduced.
struct Dwell {
  double position = 0.0;       ///< [rad] or [m]
  int direction = 0;           ///< sign of the move that led here; 0: the first
  double start_s = 0.0;        ///< the rest began
  std::size_t first_line = 0;  ///< of the rest, settling included; 0: unknown
  double settle_s = 0.0;       ///< dropped from its start
  StretchMean reading;         ///< of what is left
  std::size_t missing = 0;
  std::size_t over_range = 0;
  std::size_t unreadable = 0;
  std::size_t gaps = 0;  ///< of the clock, within
  double largest = 0.0;
  std::size_t at_largest = 0;    ///< values equal to `largest`
  std::size_t zeros = 0;         ///< values that are 0
  std::size_t values = 0;        ///< all of them, settling included
  std::size_t longest_same = 0;  ///< most equal values in a row
  std::vector<std::string> warnings;

  /// Standard deviation over mean; NaN for a mean of 0.
  [[nodiscard]] double turbulence_intensity() const;
  /// Time over which the reading was taken.
  [[nodiscard]] double dwell_s() const;
};

/// What the first rests of a log told about all of them.
struct LearntSettling {
  double settle_s = 0.0;      ///< dropped from each rest
  double shortest_s = 0.0;    ///< rests below it are passing positions
  double usual_rest_s = 0.0;  ///< 0: not known
  bool listed = false;        ///< settle_s comes from the list of stops
  std::size_t steps = 0;      ///< that `response` was found from
  StepResponse response;
};

/// What the finder is at just now, for a display.
struct OpenDwell {
  bool resting = false;
  double position = 0.0;
  double elapsed_s = 0.0;
  double mean = 0.0;
  std::size_t values = 0;
};

/// Finds dwells in a log, sample by sample, in bounded memory. The first few are held back until
/// the step response tells how long settling lasts; all dwells get the same.
class DwellFinder {
 public:
  /// @param found  called with each dwell, in the order of the log
  /// @throws InputError  an option is out of range
  DwellFinder(DwellOptions options, std::function<void(Dwell)> found);

  /// Takes up where another finder, with the same options, was stopped: with what it had learnt and
  /// the last dwell that it found. Before any sample.
  void go_on(const LearntSettling& learnt, const Dwell& last);

  /// @throws InputError  neither a position nor a list of stops
  void add(const LogSample& sample);
  /// The log has ended; hands out what is still held back.
  ///
  /// @throws NumericalError  the position never rested
  void finish();

  [[nodiscard]] OpenDwell open() const;
  [[nodiscard]] const LearntSettling& learnt() const { return told_; }
  /// Rests and passing positions that were too short to be a dwell.
  [[nodiscard]] std::size_t too_short() const { return too_short_; }
  [[nodiscard]] std::size_t moving_rows() const { return moving_rows_; }
  [[nodiscard]] const ClockWatch& clock() const { return clock_; }
  /// On settling: where it was taken from, or why it could not be told.
  [[nodiscard]] std::vector<std::string> remarks() const;

 private:
  struct Rest {
    BlockSeries series{};
    RunningMoments positions;
    double listed_position = 0.0;
    double start_s = 0.0;
    double end_s = 0.0;
    double listed_settle_s = 0.0;
    double last_value = 0.0;
    std::size_t same_run = 0;
    std::size_t rows = 0;
    bool after_break = false;  ///< the clock or the logger started anew before it
    Dwell dwell;
  };

  void add_by_position(const LogSample& sample, bool broken);
  void add_by_list(const LogSample& sample);
  void open_rest(const LogSample& sample, double position, double start_s);
  void take(const LogSample& sample);
  void close_rest();
  void learn(bool for_good);
  void hand_out(Rest& rest);
  [[nodiscard]] bool is_passing(const Rest& rest) const;
  [[nodiscard]] std::vector<StepRecord> step_records() const;
  [[nodiscard]] double time_weighted_rest_s() const;

  DwellOptions options_;
  std::function<void(Dwell)> found_;
  ClockWatch clock_;
  std::optional<Rest> rest_;
  std::deque<Rest> held_;
  bool learnt_ = false;
  LearntSettling told_;
  std::size_t stop_ = 0;
  std::optional<double> begin_s_;
  std::optional<double> last_position_;
  int last_direction_ = 0;
  std::size_t too_short_ = 0;
  std::size_t moving_rows_ = 0;
};

}  // namespace sweepflux
