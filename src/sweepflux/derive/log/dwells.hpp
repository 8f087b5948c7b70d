#pragma once

#include "sweepflux/derive/log/rests.hpp"
#include "sweepflux/derive/log/settling.hpp"

#include <cstddef>
#include <deque>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace sweepflux {

/// A rest that gave no dwell.
struct UnusedRest {
  double position = 0.0;  ///< [rad] or [m]
  double length_s = 0.0;
  std::size_t first_line = 0;  ///< 0: no row of the log falls into it
  std::size_t last_line = 0;
  bool lost_stop = false;  ///< it may well have been a stop
  std::string reason;
};

/// What the rests of a log say about all of them.
struct LearntSettling {
  double settle_s = 0.0;      ///< dropped from each rest
  double shortest_s = 0.0;    ///< rests below it are passing positions
  double usual_rest_s = 0.0;  ///< 0: not known
  double parked_s = 0.0;      ///< rests above it stand out; 0: not known
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

/// Finds dwells in a log, sample by sample, on a mended clock [ClockMender], in memory that does
/// not grow with its rows. Rests are held back until it is known what a usual rest is, and how long
/// settling lasts; all dwells get the same. Known at once for a list of stops that states settling,
/// with eight stops where it is stated otherwise, else after 256 rests, or when the log has ended.
/// Nothing that one rest does (parked, a pause, a bad stamp, lost rows) changes what the others
/// give, but for the step response, see chosen_settling.
class DwellFinder {
 public:
  /// @param found  called with each dwell, in the order of the log
  /// @throws InputError  an option is out of range
  DwellFinder(DwellOptions options, std::function<void(Dwell)> found);
  DwellFinder(const DwellFinder&) = delete;
  DwellFinder& operator=(const DwellFinder&) = delete;

  /// Takes up where another finder, with the same options, was stopped: with what it had learnt and
  /// the last dwell that it found. Before any sample.
  void go_on(const LearntSettling& learnt, const Dwell& last);

  /// @throws InputError  neither a position nor a list of stops
  void add(const LogSample& sample) { rests_.add(sample); }
  /// The log has ended; hands out what is still held back.
  ///
  /// @throws NumericalError  the position never rested
  /// @throws InputError      the positions of the log are not those of the list of stops
  void finish();

  /// The dwells that are held back, as they would be were the log at its end.
  [[nodiscard]] std::vector<Dwell> preview();
  /// Rests that are closed, handed out or not; a change says that `preview` has news.
  [[nodiscard]] std::size_t closed() const { return closed_; }
  [[nodiscard]] const RestFinder& rests() const { return rests_; }
  [[nodiscard]] OpenDwell open() const;
  [[nodiscard]] const LearntSettling& learnt() const { return learnt_; }
  [[nodiscard]] const std::vector<UnusedRest>& unused() const { return unused_; }
  [[nodiscard]] std::size_t moving_rows() const { return rests_.moving_rows() + passing_rows_; }
  /// On settling: where it was taken from, or why it could not be determined; and on parked rests.
  [[nodiscard]] std::vector<std::string> remarks() const;
  /// On the clock, on positions that do not fit, and on rests that were not used.
  [[nodiscard]] std::vector<std::string> warnings() const;

 private:
  enum class Place { between, first, last };

  void take(Rest rest);
  void learn(bool for_preview);
  [[nodiscard]] bool is_full() const;
  [[nodiscard]] bool knows_enough() const;
  [[nodiscard]] RestLengths judge_lengths() const;
  /// @return the stretch after a step that was used, s
  double learn_response();
  void learn_and_hand_out(bool at_end);
  void hand_out(const Rest& rest, Place place);
  [[nodiscard]] Dwell reduce(const Rest& rest, Place place) const;
  [[nodiscard]] double settle_of(const Rest& rest) const;
  [[nodiscard]] bool stands(const Rest& rest) const;
  [[nodiscard]] bool is_passing(const Rest& rest) const;
  [[nodiscard]] bool is_parked(const Rest& rest) const;
  [[nodiscard]] std::size_t spared_ends(std::size_t rests, std::size_t enough) const;
  [[nodiscard]] std::vector<double> whole_lengths() const;
  [[nodiscard]] double lower_quartile_of_rests() const;
  [[nodiscard]] std::vector<StepRecord> step_records(double window_s) const;

  std::function<void(Dwell)> found_;
  RestFinder rests_;
  std::deque<Rest> held_;  ///< for what there is to learn
  std::size_t handed_out_ = 0;  ///< of them
  bool learning_ = true;
  std::size_t standing_ = 0;  ///< of them, more than places passed in a few rows
  std::size_t closed_ = 0;
  bool handing_out_ = false;  ///< settling is known
  LearntSettling learnt_;
  std::optional<double> last_position_;
  int last_direction_ = 0;
  std::size_t passing_rows_ = 0;
  std::vector<UnusedRest> unused_;
  std::size_t unused_before_ = 0;  ///< of them, before the last stop
  std::vector<std::string> parked_words_;
};

}  // namespace sweepflux
