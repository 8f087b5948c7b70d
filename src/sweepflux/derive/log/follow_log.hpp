#pragma once

#include "sweepflux/capture/log/line_feed.hpp"
#include "sweepflux/derive/log/finish_sweep.hpp"
#include "sweepflux/derive/log/sensor_watch.hpp"

#include <cstddef>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace sweepflux {

/// What a follower goes on with when its source cannot be read again.
struct FollowMark {
  std::size_t byte = 0;  ///< so far the source had been read
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
  std::size_t final_dwells = 0;  ///< of the dwells so far, the first
  double usual_rest_s = 0.0;  ///< 0: not known yet
  double settle_s = 0.0;
  std::size_t stops_wanted = 0;  ///< 0: not known
  std::optional<double> minutes_left;
  std::vector<std::string> warnings;  ///< one a kind, with its count; the newest last, at most 8
};

/// Reduces a log while it grows. Memory grows with its dwells and not with its rows, but where the
/// start of a sweep may have to be found at the end: of a pattern, and of a list beside a log
/// without positions. Give it the bytes as they come, cut anywhere. The end gives what reduce_log
/// gives of the same rows, with the begin that was found.
class LogFollower {
 public:
  /// Called with dwells when they end, as they look then, and of the mark from which a run over a
  /// stream goes on after a kill. A file is better read again from its start.
  using Reduced = std::function<void(std::span<const Dwell>, const FollowMark&)>;

  /// @param reduced  may be empty
  /// @throws InputError  continuous sweeps cannot be followed
  LogFollower(std::string source, ReduceSettings settings, Reduced reduced);

  void feed(std::string_view bytes);
  /// The logger began anew: file replaced, or shorter than before.
  void restart();
  /// A serial line was lost for a while: it goes on amid a line.
  void line_came_back();
  /// The source may begin amid a line [LineFeed::may_begin_in_line].
  void may_begin_in_line() { feed_.may_begin_in_line(); }
  /// When the bytes of the next feed came [LogFormat::arrival].
  void came_at(double time_s) { feed_.came_at(time_s); }
  /// Takes up what an earlier run had reduced of a stream, before anything is fed.
  ///
  /// @param dwells  one or more
  void resume(std::vector<Dwell> dwells, const FollowMark& mark);

  /// All dwells so far; beyond those of `final_dwells`, settling and standard errors may still
  /// change.
  [[nodiscard]] const std::vector<Dwell>& dwells() const { return dwells_; }
  /// Those whose mean and standard error are the result's, but for backlash and drift, which are
  /// taken off when the sweep is whole.
  [[nodiscard]] std::span<const Dwell> final_dwells() const {
    return std::span(dwells_).first(judged_);
  }
  [[nodiscard]] FollowView view() const;
  /// All stops of the list have been made.
  [[nodiscard]] bool complete() const;

  /// Ends it; what is still open is closed.
  ///
  /// @throws SurveyError, NumericalError  as reduce_log
  [[nodiscard]] ReducedLog finish();

 private:
  void take(const LogSample& sample);
  void start_finder();
  void look();  ///< at the dwells, and tell of those that are new
  void judge(bool at_end);
  [[nodiscard]] std::optional<double> found_begin();
  void warn_of(const Dwell& dwell);
  /// @param kind  of which one is shown, with a count; empty: the text itself
  void warn(const std::string& text, std::string kind = {});

  struct Warning {
    std::string kind;
    std::string text;  ///< the newest
    std::size_t count = 0;
  };

  std::string source_;
  ReduceSettings settings_;
  Reduced reduced_;
  LineFeed feed_;
  std::optional<DwellFinder> finder_;
  std::vector<Dwell> dwells_;  ///< those that are final, and a preview of those held back
  std::size_t final_ = 0;
  ErrorPool pool_;          ///< of these
  std::size_t judged_ = 0;  ///< likewise, with standard errors that stay
  std::size_t closed_ = 0;  ///< rests seen by the last look
  double reported_until_s_ = -1e300;
  bool resumed_ = false;
  std::size_t moving_rows_before_ = 0;
  std::vector<LogSample> kept_;  ///< rows, where the start of the sweep may have to be found
  FollowView view_;              ///< as far as rows alone tell it
  double first_time_s_ = 0.0;
  double second_ = 0.0;
  double second_sum_ = 0.0;
  double second_count_ = 0.0;
  std::vector<Warning> warnings_;  ///< by when they were last given
  std::size_t clock_faults_ = 0;
  std::size_t losses_ = 0;  ///< of a serial line
  bool asked_position_ = false;
};

}  // namespace sweepflux
