#include "sweepflux/derive/log/clock_watch.hpp"

#include "sweepflux/base/statistics.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>

namespace sweepflux {
namespace {

constexpr std::size_t steps_to_learn = 16;
constexpr std::size_t most_words = 5;
// A logger that misses one row or is late is no gap; common practice, no published source.
constexpr double gap_in_steps = 5.0;

}  // namespace

ClockWatch::Event ClockWatch::add(double time_s, std::size_t line) {
  if (!started_) {
    started_ = true;
    last_s_ = time_s;
    return Event::none;
  }
  const double step = time_s - last_s_;
  last_s_ = time_s;
  if (step < 0.0) {
    ++jumps_back_;
    if (first_words_.size() < most_words) {
      first_words_.push_back("the clock jumps back by " + format_number(-step) + " s at line " +
                             std::to_string(line) + "; rows keep the order of the file");
    }
    return Event::back;
  }
  if (usual_step_s_ == 0.0) {
    first_steps_.push_back(step);
    if (first_steps_.size() == steps_to_learn) {
      // Many rows may share a stamp of whole seconds; then the mean tells their pace.
      usual_step_s_ = std::max(median(first_steps_), mean(first_steps_));
    }
    return Event::none;
  }
  if (step > gap_in_steps * usual_step_s_) {
    ++gaps_;
    if (first_words_.size() < most_words) {
      first_words_.push_back("a gap of " + format_number(step) + " s before line " +
                             std::to_string(line));
    }
    return Event::gap;
  }
  return Event::none;
}

std::vector<std::string> ClockWatch::warnings() const {
  std::vector<std::string> words = first_words_;
  const std::size_t all = gaps_ + jumps_back_;
  if (all > words.size()) {
    words.push_back("in all " + std::to_string(gaps_) + " gaps and " + std::to_string(jumps_back_) +
                    " jumps back of the clock");
  }
  return words;
}

}  // namespace sweepflux
