#include "sweepflux/derive/log/dwells.hpp"

#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <utility>

namespace sweepflux {
namespace {

constexpr std::size_t enough_rests = 9;  // to ask for the step response
constexpr std::size_t most_held = 2000;  // passing positions included
constexpr double least_share_of_usual = 0.3;

double default_tolerance(Motion motion) {
  return motion == Motion::swivel ? 0.25 * std::numbers::pi / 180.0 : 0.002;
}

void check(const DwellOptions& options) {
  if (options.settle_s && !(*options.settle_s >= 0.0)) {
    throw InputError("the settling time must be >= 0 s");
  }
  if (!(options.position_tolerance >= 0.0) || !(options.shortest_s >= 0.0)) {
    throw InputError("the tolerance of the position and the shortest dwell must be >= 0");
  }
  double last = -1e300;
  for (const RigStop& stop : options.stops) {
    if (!(stop.start_s > last) || !(stop.dwell_s > 0.0) || !(stop.settle_s >= 0.0)) {
      throw InputError(
          "the list of stops must rise in time, with dwells > 0 s and settling >= 0 s");
    }
    last = stop.start_s;
  }
}

}  // namespace

double Dwell::turbulence_intensity() const {
  return reading.mean != 0.0 ? reading.standard_deviation / std::abs(reading.mean)
                             : std::numeric_limits<double>::quiet_NaN();
}

double Dwell::dwell_s() const {
  const double n = static_cast<double>(reading.samples);
  const double between = reading.last_time_s - reading.first_time_s;
  return n > 1.0 ? between * n / (n - 1.0) : between;  // each sample stands for one step
}

DwellFinder::DwellFinder(DwellOptions options, std::function<void(Dwell)> found)
    : options_(std::move(options)), found_(std::move(found)) {
  check(options_);
  if (options_.position_tolerance == 0.0) {
    options_.position_tolerance = default_tolerance(options_.motion);
  }
  begin_s_ = options_.begin_s;
}

void DwellFinder::add(const LogSample& sample) {
  const ClockWatch::Event event = clock_.add(sample.time_s, sample.line);
  const bool broken = sample.new_segment || event == ClockWatch::Event::back;
  if (options_.stops.empty()) {
    add_by_position(sample, broken);
  } else {
    add_by_list(sample);
  }
  if (event == ClockWatch::Event::gap && rest_) {
    ++rest_->dwell.gaps;
  }
}

void DwellFinder::add_by_position(const LogSample& sample, bool broken) {
  if (std::isnan(sample.position) && !rest_) {
    ++moving_rows_;
    return;
  }
  const bool moved =
      rest_ && !std::isnan(sample.position) &&
      std::abs(sample.position - rest_->positions.mean()) > options_.position_tolerance;
  if (moved || (broken && rest_)) {
    close_rest();
  }
  if (!rest_) {
    if (std::isnan(sample.position)) {
      ++moving_rows_;
      return;
    }
    open_rest(sample, sample.position, sample.time_s);
    rest_->after_break = broken;
  }
  if (!std::isnan(sample.position)) {
    rest_->positions.add(sample.position);
  }
  take(sample);
}

void DwellFinder::add_by_list(const LogSample& sample) {
  if (!begin_s_) {
    begin_s_ = sample.time_s;
  }
  const double time_s = sample.time_s - *begin_s_;
  const auto end_of = [](const RigStop& stop) {
    return stop.start_s + stop.settle_s + stop.dwell_s;
  };
  while (stop_ < options_.stops.size() && time_s >= end_of(options_.stops[stop_])) {
    if (rest_) {
      close_rest();
    }
    ++stop_;
  }
  if (stop_ == options_.stops.size() || time_s < options_.stops[stop_].start_s) {
    ++moving_rows_;
    return;
  }
  if (!rest_) {
    const RigStop& stop = options_.stops[stop_];
    open_rest(sample, stop.position, *begin_s_ + stop.start_s);
    rest_->listed_settle_s = stop.settle_s;
  }
  take(sample);
}

void DwellFinder::open_rest(const LogSample& sample, double position, double start_s) {
  rest_ = Rest{};
  rest_->start_s = start_s;
  rest_->dwell.first_line = sample.line;
  rest_->end_s = sample.time_s;
  rest_->listed_position = position;
}

void DwellFinder::take(const LogSample& sample) {
  Rest& rest = *rest_;
  Dwell& dwell = rest.dwell;
  ++rest.rows;
  rest.end_s = std::max(rest.end_s, sample.time_s);
  if (sample.fault != SampleFault::none) {
    dwell.missing += sample.fault == SampleFault::missing ? 1U : 0U;
    dwell.over_range += sample.fault == SampleFault::over_range ? 1U : 0U;
    dwell.unreadable +=
        sample.fault == SampleFault::unreadable || sample.fault == SampleFault::under_range ? 1U
                                                                                            : 0U;
    return;
  }
  const double value = sample.value;
  rest.series.add(value, sample.time_s, sample.line);
  dwell.zeros += value == 0.0 ? 1U : 0U;
  if (dwell.values == 0 || value > dwell.largest) {
    dwell.largest = value;
    dwell.at_largest = 0;
  }
  dwell.at_largest += value == dwell.largest ? 1U : 0U;
  rest.same_run = dwell.values > 0 && value == rest.last_value ? rest.same_run + 1 : 1;
  dwell.longest_same = std::max(dwell.longest_same, rest.same_run);
  rest.last_value = value;
  ++dwell.values;
}

void DwellFinder::close_rest() {
  Rest rest = std::move(*rest_);
  rest_.reset();
  if (learnt_) {
    hand_out(rest);
    return;
  }
  held_.push_back(std::move(rest));
  // With all stated there is nothing to wait for.
  const bool ready = options_.settle_s && (options_.shortest_s > 0.0 || !options_.stops.empty());
  if (ready || held_.size() >= enough_rests) {
    learn(ready);
  }
}

/// The rest in which the median second was spent; passing positions hardly count.
double DwellFinder::time_weighted_rest_s() const {
  std::vector<double> lengths;
  double all = 0.0;
  for (const Rest& rest : held_) {
    lengths.push_back(rest.end_s - rest.start_s);
    all += lengths.back();
  }
  std::sort(lengths.begin(), lengths.end());
  double sum = 0.0;
  for (const double length : lengths) {
    sum += length;
    if (sum >= 0.5 * all) {
      return length;
    }
  }
  return 0.0;
}

/// Too short, or a position that creeps through its tolerance: evenly spread over twice the
/// tolerance it has 0.58 of it as standard deviation.
bool DwellFinder::is_passing(const Rest& rest) const {
  return options_.stops.empty() &&
         (rest.end_s - rest.start_s < told_.shortest_s || rest.rows < 3 ||
          rest.positions.standard_deviation() > 0.35 * options_.position_tolerance);
}

std::vector<StepRecord> DwellFinder::step_records() const {
  std::vector<StepRecord> records;
  const Rest* last = nullptr;
  for (const Rest& rest : held_) {
    if (is_passing(rest) || rest.series.empty()) {
      continue;
    }
    if (last != nullptr && !rest.after_break) {
      // Not up to its end: an eddy that lasts over the move would pass for a slow response.
      const double length_s = last->end_s - last->start_s;
      const double before =
          last->series.mean_between(last->start_s + 0.4 * length_s, last->start_s + 0.8 * length_s);
      records.push_back({&rest.series, rest.start_s, rest.end_s, before});
    }
    last = &rest;
  }
  return records;
}

void DwellFinder::learn(bool for_good) {
  told_.usual_rest_s = time_weighted_rest_s();
  told_.shortest_s = options_.shortest_s > 0.0 ? options_.shortest_s
                     : options_.stops.empty()  ? least_share_of_usual * told_.usual_rest_s
                                               : 0.0;
  const std::vector<StepRecord> records = step_records();
  const bool full = records.size() + 1 >= options_.most_held || held_.size() >= most_held;
  if (!for_good && !full && records.size() + 1 < enough_rests) {
    return;
  }
  told_.response = find_step_response(records);
  told_.steps = records.size();
  const StepResponse& response = told_.response;
  const double listed = held_.empty() ? 0.0 : held_.front().listed_settle_s;
  const bool clear =
      response.seen ? response.settle_high_s - response.settle_low_s < 0.3 * response.settle_high_s
                    : response.noise < 0.05;
  if (!for_good && !full && !clear && !options_.settle_s && listed == 0.0) {
    return;  // more steps will show it better
  }
  learnt_ = true;
  if (options_.settle_s) {
    told_.settle_s = *options_.settle_s;
  } else if (listed > 0.0) {
    told_.settle_s = listed;
    told_.listed = true;
  } else if (response.seen) {
    // A long time that the turbulence may only feign must not eat up the dwells.
    const bool eats = response.settle_s > 0.4 * told_.usual_rest_s;
    told_.settle_s = eats ? response.settle_low_s : response.settle_s;
  }
  while (!held_.empty()) {
    hand_out(held_.front());
    held_.pop_front();
  }
}

std::vector<std::string> DwellFinder::remarks() const {
  if (!learnt_) {
    return {};
  }
  const StepResponse& response = told_.response;
  const std::string settling = "settling of " + seconds_text(told_.settle_s);
  std::vector<std::string> remarks;
  if (options_.settle_s) {
    remarks.push_back(settling + " as stated");
  } else if (told_.listed) {
    remarks.push_back(settling + " as listed");
  } else if (response.seen) {
    remarks.push_back(settling + " from the response to " + std::to_string(told_.steps) +
                      " steps: delay " + seconds_text(response.delay_s) + ", time constant " +
                      seconds_text(response.time_constant_s) + ", so between " +
                      seconds_text(response.settle_low_s) + " and " +
                      seconds_text(response.settle_high_s));
  } else if (response.noise < 0.25) {
    remarks.push_back("no settling is to be seen after " + std::to_string(told_.steps) +
                      " steps; nothing was dropped");
  } else {
    remarks.emplace_back(
        "settling could not be told: the steps are too small against the turbulence; nothing was "
        "dropped (state a settling time if the sensor is slow)");
  }
  if (response.seen && told_.settle_s < response.settle_low_s) {
    remarks.push_back("the readings need " + seconds_text(response.settle_low_s) +
                      " or more to settle, longer than the " + seconds_text(told_.settle_s) +
                      " dropped");
  }
  return remarks;
}

void DwellFinder::go_on(const LearntSettling& learnt, const Dwell& last) {
  told_ = learnt;
  learnt_ = true;
  last_position_ = last.position;
  last_direction_ = last.direction;
}

void DwellFinder::hand_out(Rest& rest) {
  const double length_s = rest.end_s - rest.start_s;
  if (is_passing(rest)) {
    ++too_short_;
    moving_rows_ += rest.rows;
    return;
  }
  Dwell dwell = std::move(rest.dwell);
  dwell.position = rest.positions.count() > 0 ? rest.positions.mean() : rest.listed_position;
  if (last_position_ && std::abs(*last_position_ - dwell.position) > options_.position_tolerance) {
    last_direction_ = dwell.position > *last_position_ ? 1 : -1;
  }
  last_position_ = dwell.position;
  dwell.direction = last_direction_;
  dwell.start_s = rest.start_s;
  dwell.settle_s = told_.settle_s;
  dwell.reading = mean_of_stretch(rest.series, rest.start_s + told_.settle_s);
  if (dwell.reading.samples == 0) {
    dwell.warnings.push_back("nothing is left of a rest of " + seconds_text(length_s) + " after " +
                             seconds_text(told_.settle_s) + " of settling");
  } else if (told_.settle_s > 0.7 * length_s) {
    dwell.warnings.push_back("settling takes up most of the rest of " + seconds_text(length_s));
  }
  found_(std::move(dwell));
}

void DwellFinder::finish() {
  if (rest_) {
    close_rest();
  }
  if (!learnt_) {
    learn(true);
  }
  if (!last_position_) {
    throw NumericalError(options_.stops.empty()
                             ? "no dwell was found: the angle never rests; for a fan that turns "
                               "without stopping use --continuous"
                             : "no dwell was found: the log does not reach the first stop of the "
                               "list");
  }
}

OpenDwell DwellFinder::open() const {
  OpenDwell open;
  if (!rest_) {
    return open;
  }
  open.resting = true;
  open.position = rest_->positions.count() > 0 ? rest_->positions.mean() : rest_->listed_position;
  open.elapsed_s = rest_->end_s - rest_->start_s;
  open.values = rest_->dwell.values;
  open.mean = rest_->series.mean_between(rest_->start_s + told_.settle_s, rest_->end_s + 1.0);
  return open;
}

}  // namespace sweepflux
