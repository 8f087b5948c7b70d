#include "sweepflux/derive/log/continuous.hpp"

#include "sweepflux/base/quantiles.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <numeric>
#include <tuple>
#include <utility>

namespace sweepflux {
namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
constexpr long pooled_neighbours = 3;  // on either side, for the errors

double default_bin(Motion motion) {
  return motion == Motion::swivel ? 1.5 * std::numbers::pi / 180.0 : 0.02;
}

bool is_set(const SensorLag& lag) { return lag.time_constant_s || lag.distance_constant_m; }

std::string lag_words(const SensorLag& lag) {
  return lag.time_constant_s
             ? "time constant " + format_number(*lag.time_constant_s, 3) + " s"
             : "distance constant " + format_number(*lag.distance_constant_m, 3) + " m";
}

}  // namespace

ContinuousReducer::ContinuousReducer(ContinuousOptions options) : options_(options) {
  const SensorLag& lag = options_.lag;
  if (!(options_.bin >= 0.0) || (lag.time_constant_s && !(*lag.time_constant_s >= 0.0)) ||
      (lag.distance_constant_m && !(*lag.distance_constant_m >= 0.0))) {
    throw InputError("the bin and the lag of the sensor must be >= 0");
  }
  if (lag.time_constant_s && lag.distance_constant_m) {
    throw InputError("state either a time constant or a distance constant of the sensor, not both");
  }
  if (options_.bin == 0.0) {
    options_.bin = default_bin(options_.motion);
  }
}

void ContinuousReducer::put(const LogSample& sample) {
  Crossing& c = *open_;
  const double before_s = c.samples == 0 ? c.enter_s : last_time_s_;
  const double before = c.samples == 0 ? c.enter_value : last_value_;
  c.integral += 0.5 * (before + sample.value) * (sample.time_s - before_s);
  if (c.samples == 0) {
    c.first_value = sample.value;
    c.first_line = sample.line;
  }
  const double step = sample.value - c.first_value;
  c.sum += step;
  c.squares += step * step;
  c.last_line = sample.line;
  ++c.samples;
}

/// Leaves the open bin and enters the next; the value at the edge is interpolated.
void ContinuousReducer::cross(long bin, const LogSample& sample) {
  const int direction = bin > open_->bin ? 1 : -1;
  const double step = sample.position - last_position_;
  const auto value_at = [&](double position) {
    const double share = std::clamp((position - last_position_) / step, 0.0, 1.0);
    return std::pair(last_time_s_ + share * (sample.time_s - last_time_s_),
                     last_value_ + share * (sample.value - last_value_));
  };
  const double out =
      options_.bin * static_cast<double>(direction > 0 ? open_->bin + 1 : open_->bin);
  std::tie(open_->leave_s, open_->leave_value) = value_at(out);
  open_->left = direction;
  open_->integral += 0.5 * (last_value_ + open_->leave_value) * (open_->leave_s - last_time_s_);
  if (open_->entered == open_->left && open_->samples > 0) {
    crossings_.push_back(*open_);
  }
  if (direction_ != 0 && direction != direction_) {
    ++way_;
  }
  direction_ = direction;
  Crossing next;
  next.bin = bin;
  next.entered = direction;
  next.way = way_;
  const double in = options_.bin * static_cast<double>(direction > 0 ? bin : bin + 1);
  std::tie(next.enter_s, next.enter_value) = value_at(in);
  open_ = next;
}

void ContinuousReducer::add(const LogSample& sample) {
  if (sample.fault != SampleFault::none || std::isnan(sample.position)) {
    return;
  }
  const long bin = static_cast<long>(std::floor(sample.position / options_.bin));
  const bool broken = started_ && (sample.new_segment || sample.time_s < last_time_s_);
  if (!started_ || broken) {
    first_time_s_ = started_ ? first_time_s_ : sample.time_s;
    started_ = true;
    open_ = Crossing{};
    open_->bin = bin;
    open_->way = broken ? ++way_ : way_;
    open_->enter_s = sample.time_s;
    open_->enter_value = sample.value;
    direction_ = 0;
  } else {
    if (bin != open_->bin) {
      cross(bin, sample);
    }
    path_ += std::abs(sample.position - last_position_);
    path_time_s_ += sample.time_s - last_time_s_;
  }
  put(sample);
  last_position_ = sample.position;
  last_time_s_ = sample.time_s;
  last_value_ = sample.value;
}

/// The bin's mean of u: the lag equation, integrated over the bin.
double ContinuousReducer::undone(const Crossing& c, const SensorLag& lag) const {
  const double time_s = c.leave_s - c.enter_s;
  const double mean = c.integral / time_s;
  const double slope = (c.leave_value - c.enter_value) / time_s;
  if (lag.time_constant_s) {
    return mean + *lag.time_constant_s * slope;
  }
  if (lag.distance_constant_m) {
    // L y' = u (u - y); a rotor that coasts falls no faster than y^2 / (4 L).
    const double root = std::max(0.0, mean * mean + 4.0 * *lag.distance_constant_m * slope);
    return 0.5 * (mean + std::sqrt(root));
  }
  return mean;
}

std::vector<TimedReading> ContinuousReducer::readings(const SensorLag& lag,
                                                      const std::map<long, double>& errors) const {
  std::vector<TimedReading> all;
  for (const Crossing& c : crossings_) {
    const auto error = errors.find(c.bin);
    all.push_back({options_.bin * (static_cast<double>(c.bin) + 0.5),
                   c.entered,
                   c.enter_s,
                   undone(c, lag),
                   error == errors.end() ? 0.0 : error->second});
  }
  return all;
}

/// Secant steps on the gap of the centroids that is left after undoing.
SensorLag ContinuousReducer::lag_that_closes_the_gap(double first_guess_s) const {
  const auto lag_of = [this](double value) {
    SensorLag lag;
    (options_.rotating ? lag.distance_constant_m : lag.time_constant_s) = std::max(0.0, value);
    return lag;
  };
  const auto gap_left = [&](double value) {
    const auto gap = find_backlash(readings(lag_of(value), {}));
    return gap ? gap->half_gap.value : 0.0;
  };
  double speed = 1.0;
  if (options_.rotating) {
    double weight = 0.0;
    double sum = 0.0;
    for (const Crossing& c : crossings_) {
      const double mean = undone(c, {});
      weight += mean;
      sum += mean * mean;
    }
    speed = weight > 0.0 ? sum / weight : 1.0;
  }
  double a = 0.0;
  double gap_a = gap_left(a);
  double b = std::max(first_guess_s * speed, 1e-6);
  for (int i = 0; i < 40; ++i) {
    const double gap_b = gap_left(b);
    if (gap_b == gap_a || std::abs(gap_b) < 1e-12) {
      break;
    }
    const double next = std::clamp(b - gap_b * (b - a) / (gap_b - gap_a), 0.0, 10.0 * b + 1e-3);
    a = b;
    gap_a = gap_b;
    b = next;
    if (std::abs(b - a) < 1e-9 * (1.0 + b)) {
      break;
    }
  }
  return lag_of(b);
}

/// Standard error of one crossing of each bin.
std::map<long, double> ContinuousReducer::pooled_errors(const SensorLag& lag) const {
  struct Scatter {
    double squares = 0.0;
    double freedom = 0.0;
  };
  std::map<long, std::vector<double>> values;
  for (const Crossing& c : crossings_) {
    values[c.bin].push_back(undone(c, lag));
  }
  std::map<long, Scatter> scatters;
  const bool repeated = std::any_of(
      values.begin(), values.end(), [](const auto& of_bin) { return of_bin.second.size() > 1; });
  for (const auto& [bin, some] : values) {
    Scatter& scatter = scatters[bin];
    if (repeated) {
      const double sum = std::accumulate(some.begin(), some.end(), 0.0);
      for (const double value : some) {
        const double gap = value - sum / static_cast<double>(some.size());
        scatter.squares += gap * gap;
      }
      scatter.freedom = static_cast<double>(some.size()) - 1.0;
    } else {
      const auto before = values.find(bin - 1);
      const auto after = values.find(bin + 1);
      if (before != values.end() && after != values.end()) {
        const double bend = before->second[0] - 2.0 * some[0] + after->second[0];
        scatter.squares = bend * bend / 6.0;
        scatter.freedom = 1.0;
      }
    }
  }
  std::map<long, double> errors;
  for (const auto& [bin, own] : scatters) {
    Scatter pool;
    for (long near = bin - pooled_neighbours; near <= bin + pooled_neighbours; ++near) {
      if (const auto found = scatters.find(near); found != scatters.end()) {
        pool.squares += found->second.squares;
        pool.freedom += found->second.freedom;
      }
    }
    // Few degrees of freedom: widened so that 1.96 of it is the 95 % of Student's t.
    errors[bin] = pool.freedom > 0.0
                      ? std::sqrt(pool.squares / pool.freedom) *
                            student_t_quantile(0.975, pool.freedom) / normal_quantile(0.975)
                      : unknown;
  }
  return errors;
}

void ContinuousReducer::fill_bins(ContinuousSweep& sweep,
                                  const std::map<long, double>& errors) const {
  std::map<long, std::vector<const Crossing*>> by_bin;
  for (const Crossing& c : crossings_) {
    by_bin[c.bin].push_back(&c);
  }
  double u_sum = 0.0;
  double u_variance = 0.0;
  double u2_sum = 0.0;
  double u2_variance = 0.0;
  for (const auto& [bin, some] : by_bin) {
    ReducedReading reading;
    reading.position = options_.bin * (static_cast<double>(bin) + 0.5);
    reading.time_s = some.front()->enter_s;
    reading.first_line = some.front()->first_line;
    const double ways = static_cast<double>(some.size());
    double variance = 0.0;
    for (const Crossing* c : some) {
      reading.speed_m_s += undone(*c, sweep.used) / ways;
      reading.samples += c->samples;
      reading.dwell_s += c->leave_s - c->enter_s;
      reading.last_line = std::max(reading.last_line, c->last_line);
      const double n = static_cast<double>(c->samples);
      variance += n > 1.0 ? (c->squares - c->sum * c->sum / n) / (n - 1.0) / ways : 0.0;
    }
    reading.spread_m_s = std::sqrt(std::max(0.0, variance));
    reading.turbulence_intensity = reading.spread_m_s / reading.speed_m_s;
    reading.integral_time_s = unknown;
    reading.effective_samples = unknown;
    const double error = errors.at(bin);
    reading.standard_error_m_s = error / std::sqrt(ways);
    const double own = std::isfinite(error) ? reading.standard_error_m_s : 0.0;
    u_sum += reading.speed_m_s;
    u_variance += own * own;
    u2_sum += reading.speed_m_s * reading.speed_m_s;
    u2_variance += std::pow(2.0 * reading.speed_m_s * own, 2.0);
    sweep.bins.push_back(std::move(reading));
  }
  sweep.integral_u_error = u_sum > 0.0 ? std::sqrt(u_variance) / u_sum : unknown;
  sweep.integral_u2_error = u2_sum > 0.0 ? std::sqrt(u2_variance) / u2_sum : unknown;
}

void ContinuousReducer::judge_lag(ContinuousSweep& sweep, std::map<long, double>& errors) const {
  const auto plain_gap = find_backlash(readings({}, {}));
  if (is_set(options_.lag)) {
    sweep.used = options_.lag;
  } else if (plain_gap && plain_gap->half_gap.value > 0.0) {
    sweep.used = lag_that_closes_the_gap(plain_gap->half_gap.value / sweep.rate);
    sweep.found_lag = true;
  }
  errors = pooled_errors(sweep.used);
  sweep.gap = find_backlash(readings({}, errors));
  if (sweep.gap) {
    sweep.lag_s = Measured{sweep.gap->half_gap.value / sweep.rate,
                           sweep.gap->half_gap.standard_uncertainty / sweep.rate};
  }
  if (sweep.found_lag && !sweep.gap->significant) {
    sweep.used = {};
    sweep.found_lag = false;
    sweep.remarks.push_back("the ways there and back agree within their uncertainty; no lag was undone");
    errors = pooled_errors(sweep.used);
  } else if (sweep.found_lag) {
    sweep.remarks.push_back("lag undone with a " + lag_words(sweep.used) +
                            " found from the ways there and back; backlash of the drive looks the "
                            "same and would be in it");
  } else if (is_set(sweep.used)) {
    sweep.remarks.push_back("lag undone with the stated " + lag_words(sweep.used));
  } else if (!plain_gap) {
    sweep.remarks.push_back(
        "no way back: the lag cannot be determined, and none was stated; the readings "
        "sit late by the sensor's lag");
  } else {
    sweep.remarks.push_back(
        "the way there lags behind the way back, which no lag explains; none "
        "was undone");
  }
  const auto gap_left = find_backlash(readings(sweep.used, errors));
  if (sweep.gap && sweep.gap->edge_share > 0.2) {
    sweep.remarks.push_back("the stream reaches the ends of the sweep (" +
                            format_number(100.0 * sweep.gap->edge_share, 2) +
                            " % of its peak): the lag found from it is too small");
  }
  if (gap_left && gap_left->significant && !sweep.found_lag) {
    sweep.remarks.push_back(
        "a gap of the two ways is left; their mean is free of it to first order");
  }
}

ContinuousSweep ContinuousReducer::finish() {
  ContinuousSweep sweep;
  sweep.ways = way_ + 1;
  sweep.duration_s = last_time_s_ - first_time_s_;
  sweep.rate = path_time_s_ > 0.0 ? path_ / path_time_s_ : 0.0;
  std::map<long, double> errors;
  judge_lag(sweep, errors);
  sweep.by_way = readings({}, errors);
  fill_bins(sweep, errors);
  if (sweep.bins.size() < 5) {
    throw NumericalError("the sweep crossed " + std::to_string(sweep.bins.size()) +
                         " bins as a whole; five are needed (smaller bins, or a longer sweep)");
  }
  return sweep;
}

double stop_and_go_error(const ContinuousSweep& sweep,
                         double minutes,
                         double share_of_time_dwelling) {
  if (!(minutes > 0.0) || !(share_of_time_dwelling > 0.0 && share_of_time_dwelling <= 1.0)) {
    throw InputError("stop_and_go_error: minutes > 0 and a share in (0, 1] are needed");
  }
  double dwelling_s = 0.0;
  for (const ReducedReading& bin : sweep.bins) {
    dwelling_s += bin.dwell_s;
  }
  return sweep.integral_u2_error *
         std::sqrt(dwelling_s / (60.0 * minutes * share_of_time_dwelling));
}

}  // namespace sweepflux
