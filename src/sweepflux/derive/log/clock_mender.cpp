#include "sweepflux/derive/log/clock_mender.hpp"

#include "sweepflux/base/count_text.hpp"
#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/statistics.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace sweepflux {
namespace {

constexpr std::size_t steps_to_learn = 16;
constexpr std::size_t most_held_to_learn = 4096;  // rows that share one stamp
constexpr std::size_t most_words = 5;
constexpr std::size_t rows_looked_ahead = 4;
constexpr std::size_t most_in_burst = 8;
constexpr double least_share_of_burst = 0.75;
// A logger that misses one row or is late is no gap; common practice, no published source.
constexpr double gap_in_steps = 5.0;

}  // namespace

ClockMender::ClockMender(Take take, Keep keep) : take_(std::move(take)), keep_(std::move(keep)) {}

void ClockMender::hold(const LogSample& sample) {
  held_.push_back({sample, std::string(sample.label)});
}

void ClockMender::add(const LogSample& sample) {
  if (usual_step_s_ > 0.0) {
    process(sample);
    return;
  }
  hold(sample);
  if (held_.size() > steps_to_learn) {
    const bool ticks = held_.front().sample.time_s != sample.time_s;
    if (ticks || held_.size() >= most_held_to_learn) {
      learn();
    }
  }
}

/// The usual step from the rows held, and those rows handed out. Many rows may share a stamp of
/// whole seconds; then the ticks and the rows between them tell the pace.
void ClockMender::learn() {
  std::vector<double> steps;
  std::vector<double> ticks;
  for (std::size_t i = 1; i < held_.size(); ++i) {
    const double step = held_[i].sample.time_s - held_[i - 1].sample.time_s;
    if (step >= 0.0) {
      steps.push_back(step);
    }
    if (step > 0.0) {
      ticks.push_back(step);
    }
  }
  if (ticks.empty()) {
    usual_step_s_ = std::numeric_limits<double>::min();
    longest_step_s_ = std::numeric_limits<double>::infinity();
  } else {
    const double tick = median(ticks);
    const double middle = median(steps);
    paced_ = middle > 0.0;
    usual_step_s_ =
        middle > 0.0 ? middle
                     : tick * static_cast<double>(ticks.size()) / static_cast<double>(steps.size());
    longest_step_s_ = std::max(gap_in_steps * usual_step_s_, 2.5 * tick);
  }
  std::vector<Held> rows = std::move(held_);
  held_.clear();
  if (rows.size() > 2) {
    // A first stamp that the next two do not fit, though they fit each other.
    const auto step = [&](std::size_t i) {
      return rows[i].sample.time_s - rows[i - 1].sample.time_s;
    };
    const auto sound = [&](double s) { return s >= 0.0 && s <= longest_step_s_; };
    if (!sound(step(1)) && sound(step(2)) && !rows[1].sample.new_segment) {
      rows[0].sample.time_s = rows[1].sample.time_s - usual_step_s_;
      ++bad_stamps_;
      tell("line " + std::to_string(rows[0].sample.line) +
           ": its time does not fit the rows after it and was read from them");
    }
  }
  for (Held& row : rows) {
    row.sample.label = row.label;
    process(row.sample);
  }
}

bool ClockMender::fits(double time_s, std::size_t rows_between) const {
  const double step = time_s - last_raw_s_;
  return step >= 0.0 && step <= longest_step_s_ + static_cast<double>(rows_between) * usual_step_s_;
}

void ClockMender::give(LogSample sample, double time_s, Event event) {
  last_out_s_ = time_s;
  sample.time_s = time_s;
  take_(sample, event);
}

/// Without stamps of their own, rows may well be equal.
void ClockMender::note_repeated(const LogSample& sample) {
  const bool same_place = sample.position == last_position_ ||
                          (std::isnan(sample.position) && std::isnan(last_position_));
  if (started_ && paced_ && sample.fault == SampleFault::none && !sample.new_segment &&
      sample.time_s == last_raw_s_ && sample.value == last_value_ && same_place) {
    ++repeated_;
  }
  last_value_ = sample.value;
  last_position_ = sample.position;
}

void ClockMender::process(const LogSample& sample) {
  note_repeated(sample);
  if (!started_) {
    started_ = true;
    first_out_s_ = sample.time_s;
    last_raw_s_ = sample.time_s;
    give(sample, sample.time_s, Event::none);
    return;
  }
  if (held_.empty() && paced_ && !sample.new_segment && sample.time_s == last_raw_s_ &&
      burst_.size() < most_in_burst) {
    burst_.push_back({sample, std::string(sample.label)});
    return;
  }
  give_burst(sample.time_s);
  if (held_.empty() && fits(sample.time_s, sample.lost_before)) {
    const double time_s = last_out_s_ + (sample.time_s - last_raw_s_);
    last_raw_s_ = sample.time_s;
    give(sample, time_s, Event::none);
    return;
  }
  hold(sample);
  if (held_.size() >= rows_looked_ahead) {
    resolve(false);
  }
}

/// Rows that came at one stamp, as from a buffer: when the next stamp makes up for them, their times
/// are even in between, else that stamp.
void ClockMender::give_burst(double next_s) {
  const double rows = static_cast<double>(burst_.size() + 1);
  const double between_s = next_s - last_raw_s_;
  const bool made_up =
      between_s >= least_share_of_burst * rows * usual_step_s_ && fits(next_s, burst_.size());
  const double step_s = made_up ? between_s / rows : 0.0;
  for (Held& row : std::exchange(burst_, {})) {
    row.sample.label = row.label;
    last_raw_s_ += step_s;
    give(row.sample, last_out_s_ + step_s, Event::none);
  }
}

/// The first row held does not fit the clock before it: a bad stamp when a row soon after fits,
/// else a step of the clock.
void ClockMender::resolve(bool at_end) {
  std::vector<Held> rows = std::move(held_);
  held_.clear();
  for (Held& row : rows) {
    row.sample.label = row.label;
  }
  std::size_t back = 1;
  while (back < rows.size() && !fits(rows[back].sample.time_s, back)) {
    ++back;
  }
  const LogSample& first = rows.front().sample;
  std::size_t done = 0;
  const bool alone = at_end && rows.size() == 1 && !first.new_segment;
  if ((back < rows.size() && !first.new_segment) || alone) {
    const double step_s =
        alone ? usual_step_s_
              : (rows[back].sample.time_s - last_raw_s_) / static_cast<double>(back + 1);
    for (; done < back; ++done) {
      ++bad_stamps_;
      tell("line " + std::to_string(rows[done].sample.line) +
           ": its time does not fit the rows beside it and was read from them");
      give(rows[done].sample, last_out_s_ + step_s, Event::none);
      last_raw_s_ += step_s;
    }
  } else {
    const double step_s = first.time_s - last_raw_s_;
    const std::string line = std::to_string(first.line);
    Event event = Event::back;
    double time_s = last_out_s_ + usual_step_s_;
    if (step_s < 0.0) {
      ++jumps_back_;
      tell("the clock jumps back by " + seconds_text(-step_s) + " at line " + line +
           "; rows keep the order of the file");
    } else {
      ++gaps_;
      event = Event::gap;
      const bool stays = keep_ && keep_(last_out_s_, step_s);
      time_s = stays ? last_out_s_ + step_s : time_s;
      tell("a gap of " + seconds_text(step_s) + " before line " + line +
           (stays ? "" : " (no rows, or the clock was set forward) was closed up"));
    }
    last_raw_s_ = first.time_s;
    give(first, time_s, event);
    done = 1;
  }
  for (; done < rows.size(); ++done) {
    process(rows[done].sample);
  }
}

void ClockMender::flush() {
  if (usual_step_s_ == 0.0 && !held_.empty()) {
    learn();
  }
  give_burst(last_raw_s_);
  while (!held_.empty()) {
    resolve(true);
    give_burst(last_raw_s_);
  }
}

void ClockMender::tell(std::string words) {
  if (first_words_.size() < most_words) {
    first_words_.push_back(std::move(words));
  }
}

std::vector<std::string> ClockMender::warnings() const {
  std::vector<std::string> words = first_words_;
  if (usual_step_s_ == std::numeric_limits<double>::min() && last_out_s_ == first_out_s_) {
    words.emplace_back("all rows have the same time: it shows neither settling nor dwells");
  }
  if (faults() > words.size()) {
    words.push_back("in all " + count_text(gaps_, "gap") + ", " +
                    count_text(jumps_back_, "jump") + " back of the clock and " +
                    count_text(bad_stamps_, "stamp") + " that did not fit");
  }
  if (repeated_ > 0) {
    words.push_back(count_text(repeated_, "row") + (repeated_ == 1 ? " has" : " have") +
                    " time, position and value of the row before; each counts, so take out what "
                    "was written twice");
  }
  return words;
}

}  // namespace sweepflux
