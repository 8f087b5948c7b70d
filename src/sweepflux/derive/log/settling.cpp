#include "sweepflux/derive/log/settling.hpp"

#include "sweepflux/base/correlated_mean.hpp"
#include "sweepflux/base/statistics.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <vector>

namespace sweepflux {
namespace {

constexpr std::size_t cells = 100;  // of time, over the usual stretch
constexpr double left_at_settled = 0.01;
constexpr double clipped_at = 6.0;       // robust standard deviations; common practice,
constexpr double least_deviation = 0.1;  // of the level, taken for one; no published source
// To distinguish a slow response from eddies. Simulated rigs whose steps were worth fewer than five
// gave intervals beside the truth; a sweep low in the stream may hold one step alone.
constexpr std::size_t enough_steps = 8;
constexpr double enough_worth = 5.0;

/// A mean response on equal cells of time, 1 before the step and 0 at its end.
struct MeanResponse {
  double cell_s = 0.0;
  double move_s = 0.0;
  std::vector<double> value;
  std::vector<double> weight;
};

/// Sums for the two responses that a cell may hold: to the height of the step, and to a fall to
/// zero while the rig moves, as of a vane that is turned out of the wind, or a probe that is
/// covered.
struct CellSums {
  double height_height = 0.0;
  double height_level = 0.0;
  double level_level = 0.0;
  double height_value = 0.0;
  double level_value = 0.0;
};

struct Responses {
  MeanResponse to_step;
  MeanResponse to_fall;
  double steps_worth = 0.0;  ///< so many steps of one height would weigh alike
};

/// A stretch in which the readings have settled. One value far off the others, such as a slip of a
/// decimal point, would outweigh all of them in squares; it counts as the bound that it passes.
struct Level {
  double middle = std::numeric_limits<double>::quiet_NaN();  ///< median
  double scale = 0.0;                                        ///< robust standard deviation
  double mean = std::numeric_limits<double>::quiet_NaN();
  double variance = 0.0;

  [[nodiscard]] double bound(double largest) const {
    return clipped_at * std::max(scale, least_deviation * largest);
  }
};

Level find_level(const BlockSeries& series, double from_s, double to_s) {
  // What begins at `to_s` itself is left out.
  constexpr double backwards = -std::numeric_limits<double>::infinity();
  const auto inside = series.between(from_s, std::nextafter(to_s, backwards));
  std::vector<double> values;
  for (const BlockSeries::Block* const block : inside) {
    values.push_back(block->values.mean());
  }
  Level level;
  if (values.empty()) {
    return level;
  }
  level.middle = median(values);
  level.scale = robust_scale(values);
  const double bound = level.bound(std::abs(level.middle));
  RunningMoments clipped;
  double sum = 0.0;
  double count = 0.0;
  for (const BlockSeries::Block* const block : inside) {
    const double value =
        std::clamp(block->values.mean(), level.middle - bound, level.middle + bound);
    const double rows = static_cast<double>(block->values.count());
    clipped.add(value);
    sum += value * rows;
    count += rows;
  }
  level.mean = sum / count;
  level.variance = clipped.variance();
  return level;
}

double usual_move_s(std::span<const StepRecord> steps) {
  std::vector<double> moves;
  for (const StepRecord& step : steps) {
    moves.push_back(step.move_s);
  }
  return median(moves);
}

Responses average(std::span<const StepRecord> steps, double length_s) {
  const double cell_s = length_s / static_cast<double>(cells);
  std::vector<CellSums> sums(cells);
  double weights = 0.0;
  double squares = 0.0;
  for (const StepRecord& step : steps) {
    const double middle_s = step.start_s + 0.5 * length_s;
    const double end_s = step.start_s + length_s;
    const Level late = find_level(*step.after, middle_s, end_s);
    const double level = late.mean;
    const double height = step.level_before - level;
    if (!std::isfinite(height)) {
      continue;
    }
    const double bound =
        late.bound(std::max(std::abs(late.middle), std::abs(step.level_before)));
    const double lowest = std::min({0.0, late.middle, step.level_before}) - bound;
    const double highest = std::max(late.middle, step.level_before) + bound;
    // A step counts by its size over the turbulence after it.
    const double size = std::max(std::abs(height), std::abs(level));
    const double trust = 1.0 / (late.variance + 4e-4 * size * size + 1e-300);
    const double weight = trust * height * height;
    weights += weight;
    squares += weight * weight;
    for (const BlockSeries::Block& block : step.after->blocks()) {
      const double at = (block.first_time_s - step.start_s) / cell_s;
      if (at < 0.0 || at >= static_cast<double>(cells)) {
        continue;
      }
      CellSums& cell = sums[static_cast<std::size_t>(at)];
      const double count = trust * static_cast<double>(block.values.count());
      const double value = std::clamp(block.values.mean(), lowest, highest) - level;
      cell.height_height += count * height * height;
      cell.height_level -= count * height * level;
      cell.level_level += count * level * level;
      cell.height_value += count * height * value;
      cell.level_value -= count * level * value;
    }
  }
  Responses both;
  both.steps_worth = squares > 0.0 ? weights * weights / squares : 0.0;
  both.to_step.move_s = usual_move_s(steps);  // a fall is over when the rig has come to rest
  for (MeanResponse* response : {&both.to_step, &both.to_fall}) {
    response->cell_s = cell_s;
    response->value.assign(cells, 0.0);
    response->weight.assign(cells, 0.0);
  }
  for (std::size_t i = 0; i < cells; ++i) {
    const CellSums& c = sums[i];
    const double shared = c.height_level * c.height_level;
    if (!(shared < 0.99 * c.height_height * c.level_level)) {
      // One size tells no more than the other: all of it is the step's.
      both.to_step.weight[i] = c.height_height;
      both.to_step.value[i] = c.height_height > 0.0 ? c.height_value / c.height_height : 0.0;
      continue;
    }
    const double height_weight = c.height_height - shared / c.level_level;
    const double level_weight = c.level_level - shared / c.height_height;
    both.to_step.weight[i] = height_weight;
    both.to_fall.weight[i] = level_weight;
    both.to_step.value[i] =
        (c.height_value - c.height_level / c.level_level * c.level_value) / height_weight;
    both.to_fall.value[i] =
        (c.level_value - c.height_level / c.height_height * c.height_value) / level_weight;
  }
  return both;
}

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
  const double length = response.cell_s * static_cast<double>(cells);
  const double left = approach.mean(0.5 * length, length);
  double sum = 0.0;
  for (std::size_t i = 0; i < cells; ++i) {
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

/// Least squares over a coarse grid, then finer ones about the best point: the misfit has one
/// valley, but a bent one.
void fit(const MeanResponse& response, double uncertainty, StepResponse& result) {
  constexpr int points = 16;
  struct Tried {
    double settle = 0.0;
    double cost = 0.0;
  };
  std::vector<Tried> tried;
  const double length = response.cell_s * static_cast<double>(cells);
  double best = 1e300;
  double delay_low = 0.0;
  double delay_span = 0.5 * length;
  double log_low = std::log(0.05 * response.cell_s);
  double log_span = std::log(0.4 * length) - log_low;
  for (int round = 0; round < 4; ++round) {
    const double from = delay_low;
    const double log_from = log_low;
    for (int i = 0; i <= points; ++i) {
      for (int j = 0; j <= points; ++j) {
        const double delay = from + delay_span * i / points;
        const double constant = std::exp(log_from + log_span * j / points);
        const Approach approach = {delay, constant, response.move_s};
        const double cost = misfit(response, approach);
        tried.push_back({approach.time_until(left_at_settled), cost});
        if (cost < best) {
          best = cost;
          result.delay_s = delay;
          result.time_constant_s = constant;
          result.settle_s = tried.back().settle;
        }
      }
    }
    delay_span *= 0.25;
    log_span *= 0.25;
    delay_low = std::max(0.0, result.delay_s - 0.5 * delay_span);
    log_low = std::log(result.time_constant_s) - 0.5 * log_span;
  }
  result.settle_low_s = result.settle_s;
  result.settle_high_s = result.settle_s;
  for (const Tried& one : tried) {
    if (one.cost <= best + uncertainty) {
      result.settle_low_s = std::min(result.settle_low_s, one.settle);
      result.settle_high_s = std::max(result.settle_high_s, one.settle);
    }
  }
}

/// What one mean response tells.
StepResponse judge(const MeanResponse& response) {
  StepResponse result;
  result.noise = 1.0;
  std::vector<double> quiet;  // the last half, in which the response is over
  double weight = 0.0;
  double first = 0.0;
  bool has_first = false;
  for (std::size_t i = 0; i < cells; ++i) {
    if (response.weight[i] <= 0.0) {
      continue;
    }
    if (!has_first) {
      first = response.value[i];
      has_first = true;
    }
    if (i >= cells / 2) {
      quiet.push_back(response.value[i]);
      weight += response.weight[i];
    }
  }
  if (quiet.size() < 2) {
    return result;
  }
  // The half that gave the level after is calmer about it than the other half is.
  const SeriesCorrelation correlation = series_correlation(quiet);
  result.noise =
      standard_deviation(quiet) / std::sqrt(1.0 - std::min(0.9, correlation.lost_variance));
  if (result.noise < 0.25 && first > std::max(0.1, 3.0 * result.noise)) {
    result.seen = true;
    // Neighbouring cells share their eddies, so each is worth less than one.
    const double count = static_cast<double>(quiet.size());
    const double shared = count / correlation.effective_samples;
    // 5.99 is the 95 % point of chi-square with two degrees, for the two parameters.
    fit(response, 5.99 * shared * result.noise * result.noise * weight / count, result);
  }
  return result;
}

}  // namespace

double settled_level(const BlockSeries& series, double from_s, double to_s) {
  return find_level(series, from_s, to_s).mean;
}

StepResponse find_step_response(std::span<const StepRecord> steps, double window_s) {
  if (steps.empty() || !(window_s > 0.0)) {
    StepResponse none;
    none.noise = 1.0;
    return none;
  }
  const Responses both = average(steps, window_s);
  StepResponse step = judge(both.to_step);
  StepResponse fall = judge(both.to_fall);
  if (steps.size() < enough_steps || both.steps_worth < enough_worth) {
    for (StepResponse* response : {&step, &fall}) {
      response->settle_low_s = 0.0;
      response->settle_high_s = std::max(response->settle_high_s, window_s);
    }
  }
  if (fall.seen && (!step.seen || fall.settle_s > step.settle_s)) {
    return fall;
  }
  return step.seen || step.noise <= fall.noise ? step : fall;
}

double on_settling_ladder(double settle_s) {
  constexpr std::array ladder = {1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0, 10.0};
  if (!(settle_s > 0.0)) {
    return 0.0;
  }
  const double decade = std::pow(10.0, std::floor(std::log10(settle_s)));
  for (const double step : ladder) {
    if (settle_s <= step * decade * (1.0 + 1e-9)) {
      return step * decade;
    }
  }
  return 10.0 * decade;
}

}  // namespace sweepflux
