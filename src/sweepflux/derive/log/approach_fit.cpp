#include "sweepflux/derive/log/approach_fit.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

namespace sweepflux {
namespace {

constexpr double left_at_settled = 0.01;

/// A sensor of the first order behind a delay, while the rig moves evenly and comes to rest at time
/// zero: what is left of the step.
struct Approach {
  double delay_s = 0.0;
  double constant_s = 0.0;
  double move_s = 0.0;

  /// At the moment, a delay after the rest began, from which it is an exponential.
  [[nodiscard]] double share() const {
    return move_s > 0.0 ? -constant_s / move_s * std::expm1(-move_s / constant_s) : 1.0;
  }

  /// Until so much of the step is left.
  [[nodiscard]] double time_until(double left) const {
    return delay_s + constant_s * std::log(std::max(1.0, share() / left));
  }

  /// Mean over a stretch of time.
  [[nodiscard]] double mean(double from_s, double to_s) const {
    return (integral(to_s - delay_s) - integral(from_s - delay_s)) / (to_s - from_s);
  }

 private:
  [[nodiscard]] double integral(double time_s) const {
    if (time_s <= -move_s) {
      return time_s;
    }
    if (time_s >= 0.0) {
      const double moving = 0.5 * move_s - constant_s + constant_s * share();
      return -moving - share() * constant_s * std::expm1(-time_s / constant_s);
    }
    const double moved_s = time_s + move_s;
    return time_s - 0.5 * moved_s * moved_s / move_s +
           constant_s / move_s * (moved_s + constant_s * std::expm1(-moved_s / constant_s));
  }
};

double misfit(const MeanResponse& response, const Approach& approach) {
  const double length = response.cell_s * static_cast<double>(response_cells);
  const double left = approach.mean(0.5 * length, length);
  double sum = 0.0;
  for (std::size_t i = 0; i < response_cells; ++i) {
    if (response.weight[i] <= 0.0) {
      continue;
    }
    const double from = response.cell_s * static_cast<double>(i);
    const double model = approach.mean(from, from + response.cell_s);
    const double gap = response.value[i] - (model - left) / (1.0 - left);
    sum += response.weight[i] * gap * gap;
  }
  return sum;
}

/// All approaches on a grid of their mean lag (delay and time constant together, which a response
/// shows best) and the logarithm of the time constant, about those that it allows.
class ApproachGrid {
 public:
  ApproachGrid(const MeanResponse& response, double variance)
      : response_(response),
        variance_(variance),
        longest_delay_s_(0.5 * response.cell_s * static_cast<double>(response_cells)) {
    lag_s_ = {0.0, 1.8 * longest_delay_s_};
    log_constant_ = {std::log(0.05 * response.cell_s), std::log(0.8 * longest_delay_s_)};
    try_all();
    for (int round = 1; round < most_rounds && narrow(); ++round) {
      try_all();
    }
  }

  void tell(StepResponse& result) {
    std::sort(tried_.begin(), tried_.end(), [](const Tried& a, const Tried& b) {
      return a.settle_s < b.settle_s;
    });
    double all = 0.0;
    double delay_s = 0.0;
    double log_constant = 0.0;
    for (Tried& one : tried_) {
      const double weight = std::exp(-0.5 * (one.cost - least_cost_) / variance_);
      all += weight;
      one.weight_up_to = all;
      delay_s += weight * one.delay_s;
      log_constant += weight * one.log_constant;
    }
    result.delay_s = delay_s / all;
    result.time_constant_s = std::exp(log_constant / all);
    const auto quantile = [&](double share) {
      return std::lower_bound(tried_.begin(),
                              tried_.end() - 1,
                              share * all,
                              [](const Tried& one, double sum) { return one.weight_up_to < sum; })
          ->settle_s;
    };
    result.settle_s = quantile(0.5);
    result.settle_low_s = quantile(0.025);
    result.settle_high_s = quantile(0.975);
  }

 private:
  static constexpr int steps = 24;  // each way
  static constexpr int most_rounds = 8;
  static constexpr double likelihood_span = 9.0;  // logarithm; what lies lower weighs nothing

  struct Range {
    double from = std::numeric_limits<double>::infinity();
    double to = -std::numeric_limits<double>::infinity();

    [[nodiscard]] double at(int step) const { return from + (to - from) * step / steps; }
    [[nodiscard]] double length() const { return to - from; }
    [[nodiscard]] bool holds(double value) const { return value >= from && value <= to; }
    void take(double value) {
      from = std::min(from, value);
      to = std::max(to, value);
    }
    /// A step more to either side, within the range before.
    void widen(const Range& before) {
      const double step = before.length() / steps;
      from = std::max(before.from, from - step);
      to = std::min(before.to, to + step);
    }
  };

  struct Tried {
    double delay_s = 0.0;
    double log_constant = 0.0;
    double settle_s = 0.0;
    double cost = 0.0;
    double weight_up_to = 0.0;
  };

  void try_one(double delay_s, double log_constant) {
    if (delay_s < 0.0 || delay_s > longest_delay_s_) {
      return;
    }
    const Approach approach = {delay_s, std::exp(log_constant), response_.move_s};
    const double cost = misfit(response_, approach);
    tried_.push_back({delay_s, log_constant, approach.time_until(left_at_settled), cost, 0.0});
    least_cost_ = std::min(least_cost_, cost);
  }

  void try_all() {
    tried_.clear();
    least_cost_ = std::numeric_limits<double>::infinity();
    for (int j = 0; j <= steps; ++j) {
      const double log_constant = log_constant_.at(j);
      const double constant_s = std::exp(log_constant);
      for (int i = 0; i <= steps; ++i) {
        try_one(lag_s_.at(i) - constant_s, log_constant);
      }
      if (lag_s_.holds(constant_s)) {
        try_one(0.0, log_constant);  // the edge of what is possible
      }
    }
  }

  /// @return false where the allowed ones fill the grid well enough
  bool narrow() {
    Range lag_s;
    Range log_constant;
    for (const Tried& one : tried_) {
      if (one.cost <= least_cost_ + 2.0 * likelihood_span * variance_) {
        lag_s.take(one.delay_s + std::exp(one.log_constant));
        log_constant.take(one.log_constant);
      }
    }
    lag_s.widen(lag_s_);
    log_constant.widen(log_constant_);
    const double share =
        lag_s.length() / lag_s_.length() * log_constant.length() / log_constant_.length();
    if (!(share < 0.7)) {
      return false;
    }
    lag_s_ = lag_s;
    log_constant_ = log_constant;
    return true;
  }

  const MeanResponse& response_;
  double variance_;
  double longest_delay_s_;
  Range lag_s_;
  Range log_constant_;
  std::vector<Tried> tried_;
  double least_cost_ = 0.0;
};

}  // namespace

void fit_approach(const MeanResponse& response, double variance, StepResponse& result) {
  ApproachGrid(response, variance).tell(result);
}

}  // namespace sweepflux
