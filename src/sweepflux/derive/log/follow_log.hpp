#pragma once

#include "sweepflux/capture/log/line_feed.hpp"
#include "sweepflux/derive/log/reduce_log.hpp"
#include "sweepflux/derive/log/sensor_watch.hpp"

#include <cstddef>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace sweepflux {

/// Where, and with what, a follower can take up its source again.
struct FollowMark {
  std::size_t byte = 0;
  std::size_t line = 0;
  LearntSettling learnt;
  LogTally counts;  ///< up to there
  std::size_t moving_rows = 0;
};

/// What is to be seen of a log while it grows.
struct FollowView {
  std::string source;
  double since_start_s = 0.0;  ///< on the log's clock
  std::size_t rows = 0;
  double last_value = 0.0;
  std::vector<double> recent;  ///< means over a second each, oldest first; NaN: none
  OpenDwell open;
  double usual_rest_s = 0.0;  ///< 0: not known yet
  double settle_s = 0.0;
  std::size_t stops_wanted = 0;  ///< 0: not known
  std::optional<double> minutes_left;
  std::vector<std::string> warnings;  ///< newest last, at most 8
  std::size_t warnings_in_all = 0;
};

/// Reduces a log while it grows, in memory that does not grow with its rows. Give it the bytes as
/// they come, cut anywhere.
class LogFollower {
 public:
  /// Told of dwells that are done, and of the mark from which to go on after a kill. The first
  /// few come together, once settling is known: the mark holds for all of them.
  using Reduced = std::function<void(std::span<const Dwell>, const FollowMark&)>;

  /// @param reduced  may be empty
  /// @throws InputError  continuous sweeps and patterns without `begin_s` cannot be followed
  LogFollower(std::string source, ReduceSettings settings, Reduced reduced);

  void feed(std::string_view bytes);
  /// The logger began anew: file replaced, or shorter than before.
  void restart();
  /// Takes up what an earlier run had reduced, before anything is fed. The source's opening, up to
  /// its first row of data, must be fed with `learn_columns`.
  ///
  /// @param dwells  one or more
  void resume(std::vector<Dwell> dwells, const FollowMark& mark);
  void learn_columns(std::string_view opening);

  [[nodiscard]] const std::vector<Dwell>& dwells() const { return dwells_; }
  [[nodiscard]] FollowView view() const;
  /// All stops of the list have been made.
  [[nodiscard]] bool complete() const;

  /// Ends it; what is still open is closed.
  ///
  /// @throws NumericalError  no dwell was found
  [[nodiscard]] ReducedLog finish();

 private:
  void take(const LogSample& sample);
  void found(Dwell dwell);
  void tell();  ///< of the dwells found since the last time
  void warn(std::string text);

  std::string source_;
  ReduceSettings settings_;
  Reduced reduced_;
  LineFeed feed_;
  std::optional<DwellFinder> finder_;
  std::vector<Dwell> dwells_;
  std::size_t told_ = 0;  ///< of them
  std::size_t moving_rows_before_ = 0;
  std::size_t rows_ = 0;
  double first_time_s_ = 0.0;
  double last_time_s_ = 0.0;
  double last_value_ = 0.0;
  std::vector<double> recent_;
  double second_ = 0.0;
  double second_sum_ = 0.0;
  double second_count_ = 0.0;
  std::vector<std::string> warnings_;
  std::size_t warnings_in_all_ = 0;
  std::size_t clock_faults_ = 0;
  bool asked_position_ = false;
};

}  // namespace sweepflux
