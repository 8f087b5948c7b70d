#include "sweepflux/derive/log/rests.hpp"

#include "sweepflux/base/count_text.hpp"
#include "sweepflux/base/error.hpp"
#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/statistics.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <span>
#include <utility>

namespace sweepflux {
namespace {

constexpr std::size_t rows_of_a_slip = 2;  // with another position within a rest, at most
constexpr std::size_t most_unplaced = 3;   // rows without a position that a move may hide in
constexpr std::size_t most_words = 5;
constexpr double rounding_s = 1e-6;  // of times

double default_tolerance(Motion motion) {
  return motion == Motion::swivel ? 0.25 * std::numbers::pi / 180.0 : 0.002;
}

void check(const DwellOptions& options) {
  if (options.settle_s && !(*options.settle_s >= 0.0)) {
    throw InputError("the settling time must be >= 0 s");
  }
  if (!(options.position_tolerance >= 0.0)) {
    throw InputError("the tolerance of the position must be >= 0");
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

void take(Rest& rest, const LogSample& sample) {
  Dwell& dwell = rest.dwell;
  ++rest.rows;
  rest.last_line = sample.line;
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
  if (rest.series.full() && !rest.head) {
    rest.head = rest.series;
  }
  rest.series.add(value, sample.time_s, sample.line);
  dwell.zeros += value == 0.0 ? 1U : 0U;
  if (dwell.values == 0 || value > dwell.largest) {
    dwell.second_largest = dwell.values == 0 ? value : dwell.largest;
    dwell.largest = value;
    dwell.at_largest = 0;
  } else if (value < dwell.largest &&
             (value > dwell.second_largest || dwell.second_largest == dwell.largest)) {
    dwell.second_largest = value;
  }
  dwell.at_largest += value == dwell.largest ? 1U : 0U;
  rest.same_run = dwell.values > 0 && value == rest.last_value ? rest.same_run + 1 : 1;
  dwell.longest_same = std::max(dwell.longest_same, rest.same_run);
  rest.last_value = value;
  ++dwell.values;
}

Rest new_rest(const LogSample& sample, double position, double start_s) {
  Rest rest;
  rest.start_s = start_s;
  rest.end_s = sample.time_s;
  rest.listed_position = position;
  rest.dwell.first_line = sample.line;
  return rest;
}

}  // namespace

RestLengths judge_rest_lengths(std::vector<double> lengths_s) {
  constexpr double least_share_of_usual = 0.3;
  constexpr double least_stop_s = 0.5;  // where there are longer rests
  constexpr std::size_t long_rests_not_counted = 3;
  constexpr std::size_t enough_stops = 4;
  constexpr double least_times_usual = 3.0;  // of a rest that stands out
  constexpr double deviations = 4.0;         // likewise, robust ones
  RestLengths result;
  std::erase_if(lengths_s, [](double length_s) { return !(length_s > 0.0); });
  std::sort(lengths_s.begin(), lengths_s.end());
  const std::span<const double> all = lengths_s;
  std::span<const double> stops;
  double most = -1.0;
  bool shorter = false;  // stops as well
  for (std::size_t begin = 0, end = 0; begin < all.size(); begin = end) {
    end = begin + 1;
    while (end < all.size() && least_share_of_usual * all[end] <= all[end - 1]) {
      ++end;
    }
    const std::span<const double> part = all.subspan(begin, end - begin);
    const double usual_s = median(part);
    const bool too_short = usual_s < least_stop_s && end < all.size();
    const std::size_t taken_off = shorter ? std::min(part.size(), long_rests_not_counted) : 0;
    const double time_s = too_short ? 0.0 : static_cast<double>(part.size() - taken_off) * usual_s;
    shorter = shorter || !too_short;
    if (time_s > most) {
      most = time_s;
      stops = part;
    }
  }
  if (stops.empty()) {
    return result;
  }
  std::vector<double> logs;
  for (const double length_s : stops) {
    logs.push_back(std::log(length_s));
  }
  result.usual_s = median(stops);
  result.shortest_s = least_share_of_usual * result.usual_s;
  result.parked_s = result.usual_s * std::exp(std::max(std::log(least_times_usual),
                                                       deviations * robust_scale(logs)));
  result.enough = stops.size() >= enough_stops;
  return result;
}

std::string place_text(double position, Motion motion) {
  return motion == Motion::swivel ? format_number(position * 180.0 / std::numbers::pi, 4) + " deg"
                                  : format_number(position, 4) + " m";
}

double Dwell::turbulence_intensity() const {
  return reading.mean != 0.0 ? reading.standard_deviation / std::abs(reading.mean)
                             : std::numeric_limits<double>::quiet_NaN();
}

double Dwell::dwell_s() const {
  const double n = static_cast<double>(reading.samples);
  const double between = reading.last_time_s - reading.first_time_s;
  return n > 1.0 ? between * n / (n - 1.0) : between;  // each sample stands for one step
}

RestFinder::RestFinder(DwellOptions options,
                       std::function<void(Rest)> closed,
                       std::function<void(const RigStop&)> missed)
    : options_(std::move(options)),
      closed_(std::move(closed)),
      missed_(std::move(missed)),
      clock_(
          [this](const LogSample& sample, ClockMender::Event event) {
            if (event == ClockMender::Event::gap && rest_) {
              ++rest_->dwell.gaps;
            }
            by_list() ? add_by_list(sample) : add_by_position(sample);
          },
          [this](double time_s, double step_s) {
            // By a list, the rig goes on while the logger does not; a step beyond its end is the
            // clock's.
            return by_list() && begin_s_ &&
                   time_s + step_s < *begin_s_ + end_s(options_.stops.back());
          }) {
  check(options_);
  if (options_.position_tolerance == 0.0) {
    options_.position_tolerance = default_tolerance(options_.motion);
  }
  begin_s_ = options_.begin_s;
  if (by_list() && !begin_s_) {
    fit_.emplace(options_.stops);
  }
}

void RestFinder::close(std::optional<Rest>& rest) {
  if (rest) {
    Rest done = std::move(*rest);
    rest.reset();
    closed_(std::move(done));
  }
}

/// Rows without a position wait for the next that has one: they belong to its rest if that is the
/// rest of the row before, too, and else to the move.
void RestFinder::add_by_position(const LogSample& sample) {
  if (!std::isnan(sample.position)) {
    add_placed(sample);
    return;
  }
  if (!rest_) {
    ++moving_rows_;
    return;
  }
  if (unplaced_.size() == most_unplaced) {
    take(*rest_, unplaced_.front());
    unplaced_.erase(unplaced_.begin());
  }
  unplaced_.push_back(sample);
}

/// After a row or two elsewhere, back at the rest before: their positions were wrong.
bool RestFinder::came_back(const LogSample& sample) {
  if (!left_ || rest_->rows > rows_of_a_slip ||
      std::abs(sample.position - left_->position()) > options_.position_tolerance) {
    return false;
  }
  misplaced_ += rest_->rows;
  if (misplaced_words_.size() < most_words) {
    misplaced_words_.push_back("line " + std::to_string(rest_->dwell.first_line) + ": a row at " +
                               place_text(rest_->position(), options_.motion) + " within a rest at " +
                               place_text(left_->position(), options_.motion) + " was left out");
  }
  rest_ = std::move(left_);
  left_.reset();
  return true;
}

void RestFinder::add_placed(const LogSample& sample) {
  const bool stays =
      rest_ && std::abs(sample.position - rest_->position()) <= options_.position_tolerance;
  if (rest_ && !stays && !came_back(sample)) {
    moving_rows_ += unplaced_.size();
    unplaced_.clear();
    close(left_);
    left_ = std::move(rest_);
    rest_.reset();
  }
  if (!rest_) {
    rest_ = new_rest(sample, sample.position, sample.time_s);
    rest_->after_break = sample.new_segment || sample.lost_before > 0;
  } else if (rest_->rows >= rows_of_a_slip) {
    close(left_);
  }
  for (const LogSample& row : unplaced_) {
    take(*rest_, row);
  }
  unplaced_.clear();
  rest_->positions.add(sample.position);
  take(*rest_, sample);
}

void RestFinder::add_by_list(const LogSample& sample) {
  if (!begin_s_) {
    begin_s_ = sample.time_s;
  }
  const double time_s = sample.time_s - *begin_s_ + rounding_s;
  last_s_ = time_s;
  if (!std::isnan(sample.position)) {
    fit_.reset();
  } else if (fit_ && sample.fault == SampleFault::none) {
    fit_->add(time_s, sample.value);
  }
  while (stop_ < options_.stops.size() && time_s >= end_s(options_.stops[stop_])) {
    if (rest_) {
      if (!std::isnan(shown_position_)) {
        shown_beside_listed_.push_back(shown_position_ - rest_->listed_position);
      }
      close(rest_);
    } else {
      missed_(options_.stops[stop_]);
    }
    ++stop_;
  }
  if (stop_ == options_.stops.size() || time_s < options_.stops[stop_].start_s) {
    ++moving_rows_;
    return;
  }
  if (!rest_) {
    const RigStop& stop = options_.stops[stop_];
    rest_ = new_rest(sample, stop.position, *begin_s_ + stop.start_s);
    rest_->listed_settle_s = stop.settle_s;
  }
  take(*rest_, sample);
  shown_position_ = sample.position;
}

/// A log may hold positions beside a list of stops; then both must agree.
void RestFinder::compare_positions() const {
  if (shown_beside_listed_.size() < 2) {
    return;
  }
  std::vector<double> apart;
  std::vector<double> steps;
  for (const double difference : shown_beside_listed_) {
    apart.push_back(std::abs(difference));
  }
  for (std::size_t i = 1; i < options_.stops.size(); ++i) {
    steps.push_back(std::abs(options_.stops[i].position - options_.stops[i - 1].position));
  }
  if (median(apart) > std::max(options_.position_tolerance, 0.5 * median(steps))) {
    throw InputError("the angles of the log are not those of the list of stops: they are apart by " +
                     place_text(median(apart), options_.motion) +
                     " as a rule; state the sweep that was made, or no list at all");
  }
}

std::optional<double> RestFinder::better_begin_s() const {
  const std::optional<double> shift_s = fit_ ? fit_->better_shift_s() : std::nullopt;
  return shift_s ? std::optional<double>(*begin_s_ + *shift_s) : std::nullopt;
}

void RestFinder::finish() {
  clock_.flush();
  for (const LogSample& row : unplaced_) {
    take(*rest_, row);
  }
  unplaced_.clear();
  close(left_);
  close(rest_);
  compare_positions();
}

std::vector<std::string> RestFinder::warnings() const {
  std::vector<std::string> words = clock_.warnings();
  words.insert(words.end(), misplaced_words_.begin(), misplaced_words_.end());
  if (misplaced_ > misplaced_words_.size()) {
    words.push_back("in all " + count_text(misplaced_, "row") + " with such positions");
  }
  if (by_list() && stop_ + 1 < options_.stops.size()) {
    words.push_back("the log ends before the last " +
                    std::to_string(options_.stops.size() - stop_ - 1) + " of " +
                    std::to_string(options_.stops.size()) + " stops");
  }
  if (by_list() && !options_.begin_s) {
    const double spare_s = last_s_ - end_s(options_.stops.back());
    const RigStop& last = options_.stops.back();
    if (spare_s > last.settle_s + last.dwell_s) {
      words.push_back("the log goes on for " + seconds_text(spare_s) +
                      " after the last stop of the list; if it holds more of the sweep, state the "
                      "list that was made");
    }
  }
  return words;
}

}  // namespace sweepflux
