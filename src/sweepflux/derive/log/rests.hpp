#pragma once

#include "sweepflux/capture/log/read_log.hpp"
#include "sweepflux/derive/log/block_series.hpp"
#include "sweepflux/derive/log/clock_mender.hpp"
#include "sweepflux/derive/log/stops_in_signal.hpp"

#include <cstddef>
#include <functional>
#include <limits>
#include <optional>
#include <string>
#include <vector>

namespace sweepflux {

/// How dwells are found.
struct DwellOptions {
  std::optional<double> settle_s;   ///< >= 0; empty: from the step response
  double assumed_settle_s = 0.0;    ///< >= 0, in previews until enough steps tell it
  double position_tolerance = 0.0;  ///< [rad] or [m], 0: a quarter of a degree, 2 mm
  std::vector<RigStop> stops;       ///< empty: from the position column
  std::optional<double> begin_s;    ///< log's time at the start of the list; empty: first row
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
  double second_largest = 0.0;   ///< distinct value; `largest` where all are equal
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

/// A stretch of a log in which the rig stood at one place, or a stop of the list.
struct Rest {
  BlockSeries series{};
  std::optional<BlockSeries> head;  ///< as it was before values were merged, where they were
  RunningMoments positions;
  double listed_position = 0.0;
  double start_s = 0.0;
  double end_s = 0.0;
  double listed_settle_s = 0.0;
  double last_value = 0.0;
  std::size_t same_run = 0;
  std::size_t rows = 0;
  std::size_t last_line = 0;
  bool after_break = false;    ///< the logger started anew before it, or its first rows were lost
  Dwell dwell;                 ///< its counts so far
  std::optional<Dwell> shown;  ///< as previewed, for the settling in it

  [[nodiscard]] double length_s() const { return end_s - start_s; }
  [[nodiscard]] double position() const {
    return positions.count() > 0 ? positions.mean() : listed_position;
  }
};

/// Parts a log into rests, sample by sample, on a mended clock [ClockMender]: by the position
/// column, or by a list of stops. A rest goes on over steps of the clock, gaps, a logger started
/// anew, and a row or two with another position amid it.
class RestFinder {
 public:
  /// @param closed  called with each rest, in the order of the log
  /// @param missed  called with a stop of the list into which no row falls
  /// @throws InputError  an option is out of range
  RestFinder(DwellOptions options,
             std::function<void(Rest)> closed,
             std::function<void(const RigStop&)> missed);
  RestFinder(const RestFinder&) = delete;
  RestFinder& operator=(const RestFinder&) = delete;

  void add(const LogSample& sample) { clock_.add(sample); }
  /// Closes what is open.
  ///
  /// @throws InputError  the positions of the log are not those of the list
  void finish();
  /// Log's time at which a list that no position bears out, and whose start is not stated, fits the
  /// signal clearly better than from the first row [ListFit].
  [[nodiscard]] std::optional<double> better_begin_s() const;

  /// With the usual tolerance where none was stated.
  [[nodiscard]] const DwellOptions& options() const { return options_; }
  [[nodiscard]] bool by_list() const { return !options_.stops.empty(); }
  /// All stops of the list are over.
  [[nodiscard]] bool list_done() const { return by_list() && stop_ == options_.stops.size(); }
  [[nodiscard]] const std::optional<Rest>& open() const { return rest_; }
  /// Rows that belong to no rest.
  [[nodiscard]] std::size_t moving_rows() const { return moving_rows_; }
  [[nodiscard]] const ClockMender& clock() const { return clock_; }
  /// On the clock, and on positions that do not fit.
  [[nodiscard]] std::vector<std::string> warnings() const;

 private:
  void add_by_position(const LogSample& sample);
  void add_placed(const LogSample& sample);
  void add_by_list(const LogSample& sample);
  [[nodiscard]] bool came_back(const LogSample& sample);
  void close(std::optional<Rest>& rest);
  void compare_positions() const;

  DwellOptions options_;
  std::function<void(Rest)> closed_;
  std::function<void(const RigStop&)> missed_;
  ClockMender clock_;
  std::optional<Rest> rest_;
  std::optional<Rest> left_;         ///< the rest before, while the move may be a wrong position
  std::vector<LogSample> unplaced_;  ///< the last rows without a position, not yet in a rest
  std::optional<ListFit> fit_;       ///< where the list has to be taken at its word
  std::size_t stop_ = 0;
  double last_s_ = 0.0;  ///< of the last row, since the start of the list
  std::optional<double> begin_s_;
  double shown_position_ = std::numeric_limits<double>::quiet_NaN();  ///< by the last row, if any
  std::vector<double> shown_beside_listed_;  ///< at the end of each stop of the list
  std::size_t moving_rows_ = 0;
  std::size_t misplaced_ = 0;
  std::vector<std::string> misplaced_words_;
};

/// What the lengths of a log's rests say of each other.
struct RestLengths {
  double usual_s = 0.0;     ///< median of the stops; 0: no rest
  double shortest_s = 0.0;  ///< rests below it are no stops but places passed on the way
  double parked_s = 0.0;    ///< rests above it are no usual stops: parked, or a pause
  bool enough = false;      ///< there are four stops or more, so that a long one stands out
};

/// Judges rests by each other in the logarithm of their length: they are parted where one is more
/// than 3.3 times the one before, and the part that holds most time is that of the stops, three
/// rests of a longer part not counted (parked at the start, at the end, one pause). Parts of less
/// than half a second are stops only where there is nothing longer. The limits are common practice,
/// no published source; median and median absolute deviation as in [ISO 13528, C.1].
///
/// @param lengths_s  of the rests, any order
[[nodiscard]] RestLengths judge_rest_lengths(std::vector<double> lengths_s);

/// A place in words, such as "-24 deg" or "0.35 m".
[[nodiscard]] std::string place_text(double position, Motion motion);

}  // namespace sweepflux
