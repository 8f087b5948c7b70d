#pragma once

#include "sweepflux/capture/log/read_log.hpp"

#include <cstddef>
#include <functional>
#include <string>
#include <vector>

namespace sweepflux {

/// Turns the stamps of a log into a clock that runs on: steps of the clock (set forward or back,
/// summer time, a logger that starts from 0 again) and gaps are closed up to one usual step, but for
/// the time of rows that were lost; stamps that do not fit their neighbours are read from these. File
/// order is kept whatever it finds; rows that share a stamp are no fault, and are spread up to the
/// next one where it makes up for them. A few rows are held back to distinguish a bad stamp from a
/// step.
class ClockMender {
 public:
  enum class Event { none, gap, back };

  using Take = std::function<void(const LogSample&, Event)>;
  /// Whether a step forward is time in which the rig went on, so that it must stay.
  using Keep = std::function<bool(double time_s, double step_s)>;

  /// @param take  given every sample in the order of the log, its time mended
  /// @param keep  empty: every step forward is closed up
  explicit ClockMender(Take take, Keep keep = {});

  void add(const LogSample& sample);
  /// Hands out what is still held back; more may follow.
  void flush();

  /// Gaps, jumps back and bad stamps so far.
  [[nodiscard]] std::size_t faults() const { return gaps_ + jumps_back_ + bad_stamps_; }
  /// "the clock jumps back by 3600 s at line 812", ...: the first few, and how many in all; and how
  /// many rows repeat the row before them.
  [[nodiscard]] std::vector<std::string> warnings() const;

 private:
  struct Held {
    LogSample sample;
    std::string label;  ///< the sample's is valid until the next row only
  };

  void hold(const LogSample& sample);
  void learn();
  void process(const LogSample& sample);
  void note_repeated(const LogSample& sample);
  void give_burst(double next_s);
  void resolve(bool at_end);
  void give(LogSample sample, double time_s, Event event);
  void tell(std::string words);
  [[nodiscard]] bool fits(double time_s, std::size_t rows_between) const;

  Take take_;
  Keep keep_;
  std::vector<Held> held_;
  std::vector<Held> burst_;  ///< rows at last_raw_s_, the one that was handed out not counted
  bool started_ = false;
  bool paced_ = false;  ///< rows have stamps of their own, as a rule
  double first_out_s_ = 0.0;
  double last_raw_s_ = 0.0;
  double last_out_s_ = 0.0;
  double usual_step_s_ = 0.0;    ///< 0: not known before 16 rows have been seen
  double longest_step_s_ = 0.0;  ///< that is no gap
  std::size_t gaps_ = 0;
  std::size_t jumps_back_ = 0;
  std::size_t bad_stamps_ = 0;
  double last_value_ = 0.0;     ///< of the row before
  double last_position_ = 0.0;  ///< likewise
  std::size_t repeated_ = 0;    ///< rows with time, position and value of the row before
  std::vector<std::string> first_words_;
};

}  // namespace sweepflux
