#include "sweepflux/derive/log/settling.hpp"

#include "sweepflux/base/correlated_mean.hpp"
#include "sweepflux/base/statistics.hpp"
#include "sweepflux/derive/log/approach_fit.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <vector>

namespace sweepflux {
namespace {

constexpr double clipped_at = 6.0;       // robust standard deviations; common practice,
constexpr double least_deviation = 0.1;  // of the level, taken for one; no published source
// To distinguish a slow response from eddies. Simulated rigs whose steps were worth fewer than five
// gave intervals beside the truth; a sweep low in the stream may hold one step alone.
constexpr std::size_t enough_steps = 8;
constexpr double enough_worth = 5.0;
constexpr double most_of_rest = 0.45;  // for settling that the turbulence may only feign

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
  const double cell_s = length_s / static_cast<double>(response_cells);
  std::vector<CellSums> sums(response_cells);
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
      if (at < 0.0 || at >= static_cast<double>(response_cells)) {
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
    response->value.assign(response_cells, 0.0);
    response->weight.assign(response_cells, 0.0);
  }
  for (std::size_t i = 0; i < response_cells; ++i) {
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

/// What one mean response tells.
StepResponse judge(const MeanResponse& response) {
  StepResponse result;
  result.noise = 1.0;
  std::vector<double> quiet;  // the last half, in which the response is over
  double weight = 0.0;
  double first = 0.0;
  bool has_first = false;
  for (std::size_t i = 0; i < response_cells; ++i) {
    if (response.weight[i] <= 0.0) {
      continue;
    }
    if (!has_first) {
      first = response.value[i];
      has_first = true;
    }
    if (i >= response_cells / 2) {
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
    fit_approach(response, shared * result.noise * result.noise * weight / count, result);
  }
  return result;
}

double round_up(double value, std::span<const double> ladder) {
  if (!(value > 0.0)) {
    return 0.0;
  }
  const double decade = std::pow(10.0, std::floor(std::log10(value)));
  for (const double step : ladder) {
    if (value <= step * decade * (1.0 + 1e-9)) {
      return step * decade;
    }
  }
  return 10.0 * decade;
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
  return round_up(settle_s, ladder);
}

double chosen_settling(const StepResponse& response, double window_s) {
  constexpr std::array coarse_ladder = {1.0, 1.6, 2.5, 4.0, 6.3, 10.0};
  constexpr double coarse_step = 1.6;
  if (!response.seen) {
    return 0.0;
  }
  const double longest_s = most_of_rest * window_s;
  const double settle_s = std::min(response.settle_s, std::max(response.settle_low_s, longest_s));
  if (!(response.settle_high_s < coarse_step * response.settle_low_s)) {
    const double coarse_s = round_up(settle_s, coarse_ladder);
    if (coarse_s <= longest_s) {
      return coarse_s;
    }
  }
  return on_settling_ladder(settle_s);
}

}  // namespace sweepflux
