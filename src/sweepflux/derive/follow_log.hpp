#pragma once

#include "sweepflux/capture/line_feed.hpp"
#include "sweepflux/derive/reduce_log.hpp"
#include "sweepflux/derive/sensor_watch.hpp"

#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace sweepflux {

/// Where a follower can take up its source again.
struct FollowMark {
  std::size_t byte = 0;
  std::size_t line = 0;
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
  /// @param reduced  told of each dwell when it is done, with the mark from which to go on after a
  ///                 kill; may be empty
  /// @throws InputError  continuous sweeps and patterns without `begin_s` cannot be followed
  LogFollower(std::string source,
              ReduceSettings settings,
              std::function<void(const Dwell&, FollowMark)> reduced);

  void feed(std::string_view bytes);
  /// The logger began anew: file replaced, or shorter than before.
  void restart();
  /// Takes up what an earlier run had reduced, before anything is fed. The source's opening, up to
  /// its first row of data, must be fed with `learn_columns`.
  void resume(std::vector<Dwell> dwells, FollowMark mark, double settle_s, double shortest_s);
  void learn_columns(std::string_view opening);

  [[nodiscard]] const std::vector<Dwell>& dwells() const { return dwells_; }
  [[nodiscard]] FollowView view() const;
  [[nodiscard]] double settle_s() const { return finder_->settle_s(); }
  [[nodiscard]] double shortest_s() const { return finder_->shortest_s(); }
  /// All stops of the list have been made.
  [[nodiscard]] bool complete() const;

  /// Ends it; what is still open is closed.
  ///
  /// @throws NumericalError  no dwell was found
  [[nodiscard]] ReducedLog finish();

 private:
  void take(const LogSample& sample);
  void found(Dwell dwell);
  void warn(std::string text);

  std::string source_;
  ReduceSettings settings_;
  std::function<void(const Dwell&, FollowMark)> reduced_;
  LineFeed feed_;
  std::optional<DwellFinder> finder_;
  std::vector<Dwell> dwells_;
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
