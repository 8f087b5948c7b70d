#include "sweepflux/derive/thrust/thrust.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/quantiles.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace sweepflux {
namespace {

constexpr double largest_drift = 0.10;  ///< of the thrust

void check(const Balance& b) {
  const auto finite = [](double v) { return std::isfinite(v); };
  const bool all_finite = std::all_of(b.readings_n.begin(), b.readings_n.end(), finite) &&
                          finite(b.zero_before_n) && finite(b.zero_after_n);
  // "not (in range)" catches not-a-number too.
  const std::pair<bool, const char*> rules[] = {
      {!b.readings_n.empty() || b.log || b.from_log_n,
       "balance.readings is empty; at least one reading with the fan running is needed"},
      {b.lever_ratio > 0.0 && finite(b.lever_ratio), "balance.lever_ratio must be larger than 0"},
      {b.lever_ratio_uncertainty >= 0.0 && b.lever_ratio_uncertainty < 1.0,
       "balance.lever_ratio_uncertainty must be from 0 to below 100 %"},
      {b.resolution_n >= 0.0 && finite(b.resolution_n), "balance.resolution must be 0 or larger"},
      {b.gravity_m_s2 > 9.7 && b.gravity_m_s2 < 9.9,
       "balance.gravity must be that of a place on earth, 9.78 to 9.84 m/s2"},
      {!b.log || b.from_log_n, "balance.log is not reduced yet: reduce_balance_log does that"},
      {all_finite, "a reading of the balance is not a finite number"}};
  std::string faults;
  for (const auto& [kept, text] : rules) {
    if (!kept) {
      faults += faults.empty() ? "" : "\n";
      faults += text;
    }
  }
  if (!faults.empty()) {
    throw InputError(faults);
  }
}

/// Force at the scale, zero taken off, with its standard uncertainty and degrees of freedom.
struct Force {
  double mean_n = 0.0;
  double scatter_n = 0.0;  ///< of the mean
  double fixed_n = 0.0;    ///< resolution and drift: known well, however few the readings
  double freedom = 0.0;
};

Force force_at_scale(const Balance& b) {
  if (b.from_log_n) {
    return {b.from_log_n->value, b.from_log_n->standard_uncertainty, 0.0, 0.0};
  }
  const double count = static_cast<double>(b.readings_n.size());
  const double drift = b.zero_after_n - b.zero_before_n;
  std::vector<double> force;
  for (std::size_t i = 0; i < b.readings_n.size(); ++i) {
    // Readings are taken as even in time between the two zeros.
    const double share = (static_cast<double>(i) + 1.0) / (count + 1.0);
    force.push_back((b.readings_n[i] - b.zero_before_n - share * drift));
  }
  Force f;
  for (const double value : force) {
    f.mean_n += value / count;
  }
  double squares = 0.0;
  for (const double value : force) {
    squares += (value - f.mean_n) * (value - f.mean_n);
  }
  f.freedom = count - 1.0;
  f.scatter_n = count > 1.0 ? std::sqrt(squares / (count - 1.0) / count)
                            : std::max(b.resolution_n, lone_scatter * std::abs(f.mean_n));
  // Rounding is not averaged away: steady readings all fall on the same step. The zero is a mean
  // of two, or one when it was tared. That the drift was even in time is a guess: rectangular.
  const double step = b.resolution_n / std::sqrt(12.0);
  const double zero_step = b.zero_given ? step / std::sqrt(2.0) : step;
  f.fixed_n = std::hypot(std::hypot(step, zero_step), drift / std::sqrt(12.0));
  return f;
}

std::vector<std::string> remarks_on(const Balance& b, const Force& f, double drift_n) {
  std::vector<std::string> remarks;
  const double size = std::abs(f.mean_n);
  if (!b.zero_given) {
    remarks.emplace_back("no zero was read; taken as tared, so a drift could not be seen");
  } else {
    remarks.push_back(drift_n == 0.0 ? "the zero did not drift"
                                     : "the zero drifted by " + percent_text(std::abs(drift_n) / size) +
                                           " of the thrust: taken off evenly in time, and part of "
                                           "the uncertainty (more than 10 % is refused)");
  }
  if (b.readings_n.size() == 1) {
    remarks.emplace_back("one reading only: its scatter is not known and was taken as 1 %");
  }
  const double step = b.resolution_n * std::sqrt(1.5 / 12.0);
  if (step > f.scatter_n && step > std::abs(drift_n) / std::sqrt(12.0) && step > 0.002 * size) {
    remarks.push_back("the balance's resolution is the largest uncertainty: " +
                      percent_text(step / size) + " of the thrust");
  }
  return remarks;
}

}  // namespace

Thrust derive_thrust(const Balance& balance) {
  check(balance);
  const Force f = force_at_scale(balance);
  if (!(f.mean_n > 0.0)) {
    throw InputError(
        "the balance shows no thrust: its readings are not above the zero; check the sense of the "
        "scale and zero_before, zero_after");
  }
  Thrust result;
  result.zero_drift_n = (balance.zero_after_n - balance.zero_before_n);
  if (std::abs(result.zero_drift_n) > largest_drift * f.mean_n) {
    throw InputError("the balance's zero drifted by " +
                     percent_text(std::abs(result.zero_drift_n) / f.mean_n) +
                     " of the thrust; at most 10 % is allowed: let it warm up, free its cable, and "
                     "weigh again");
  }
  result.remarks = remarks_on(balance, f, result.zero_drift_n);
  Estimate& thrust = result.thrust_n;
  thrust.value = f.mean_n / balance.lever_ratio;
  const double scatter = f.scatter_n / balance.lever_ratio;
  const double rest =
      std::hypot(f.fixed_n / balance.lever_ratio, balance.lever_ratio_uncertainty * thrust.value);
  thrust.standard_uncertainty = std::hypot(scatter, rest);
  // Only the scatter is known from few readings [JCGM 100, G.4.1].
  double freedom = std::numeric_limits<double>::infinity();
  if (f.freedom >= 1.0 && scatter > 0.0) {
    freedom = f.freedom * std::pow(thrust.standard_uncertainty / scatter, 4);
  }
  const double half = student_95(freedom) * thrust.standard_uncertainty;
  thrust.low_95 = thrust.value - half;
  thrust.high_95 = thrust.value + half;
  return result;
}

}  // namespace sweepflux
