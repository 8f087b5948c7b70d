#include "sweepflux/derive/log/settling.hpp"

#include "sweepflux/base/correlated_mean.hpp"
#include "sweepflux/base/statistics.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace sweepflux {
namespace {

constexpr std::size_t cells = 100;  // of time, over the usual stretch
constexpr double left_at_settled = 0.01;

/// The mean response on equal cells of time, 1 before the step and 0 at its end.
struct MeanResponse {
  double cell_s = 0.0;
  std::vector<double> value;
  std::vector<double> weight;
};

MeanResponse average(std::span<const StepRecord> steps, double length_s) {
  MeanResponse response;
  response.cell_s = length_s / static_cast<double>(cells);
  response.value.assign(cells, 0.0);
  response.weight.assign(cells, 0.0);
  for (const StepRecord& step : steps) {
    const double middle_s = 0.5 * (step.start_s + step.end_s);
    const double level_after = step.after->mean_between(middle_s, step.end_s + 1.0);
    const double height = step.level_before - level_after;
    if (!std::isfinite(height)) {
      continue;
    }
    RunningMoments late;
    for (const BlockSeries::Block& block : step.after->blocks()) {
      if (block.first_time_s >= middle_s) {
        late.add(block.values.mean());
      }
    }
    // A step counts by its height over the turbulence after it.
    const double trust = 1.0 / (late.variance() + 4e-4 * height * height + 1e-300);
    for (const BlockSeries::Block& block : step.after->blocks()) {
      const double at = (block.first_time_s - step.start_s) / response.cell_s;
      if (at < 0.0 || at >= static_cast<double>(cells)) {
        continue;
      }
      const std::size_t cell = static_cast<std::size_t>(at);
      const double count = trust * static_cast<double>(block.values.count());
      response.value[cell] += count * height * (block.values.mean() - level_after);
      response.weight[cell] += count * height * height;
    }
  }
  for (std::size_t i = 0; i < cells; ++i) {
    response.value[i] = response.weight[i] > 0.0 ? response.value[i] / response.weight[i] : 0.0;
  }
  return response;
}

/// Mean of the delayed exponential over a stretch of time.
double model_mean(double from, double to, double delay, double constant) {
  const auto integral = [&](double t) {  // of the model from 0 to t
    return t <= delay ? t : delay - constant * std::expm1(-(t - delay) / constant);
  };
  return (integral(to) - integral(from)) / (to - from);
}

double misfit(const MeanResponse& response, double delay, double constant) {
  const double length = response.cell_s * static_cast<double>(cells);
  const double left = model_mean(0.5 * length, length, delay, constant);
  double sum = 0.0;
  for (std::size_t i = 0; i < cells; ++i) {
    const double from = response.cell_s * static_cast<double>(i);
    const double model = model_mean(from, from + response.cell_s, delay, constant);
    const double gap = response.value[i] - (model - left) / (1.0 - left);
    sum += response.weight[i] * gap * gap;
  }
  return sum;
}

/// Least squares over a coarse grid, then finer ones about the best point: the misfit has one
/// valley, but a bent one.
void fit(const MeanResponse& response, double doubt, StepResponse& result) {
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
        const double cost = misfit(response, delay, constant);
        tried.push_back({delay + constant * std::log(1.0 / left_at_settled), cost});
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
    if (one.cost <= best + doubt) {
      result.settle_low_s = std::min(result.settle_low_s, one.settle);
      result.settle_high_s = std::max(result.settle_high_s, one.settle);
    }
  }
}

}  // namespace

StepResponse find_step_response(std::span<const StepRecord> steps) {
  StepResponse result;
  result.noise = 1.0;
  if (steps.empty()) {
    return result;
  }
  std::vector<double> lengths;
  for (const StepRecord& step : steps) {
    lengths.push_back(step.end_s - step.start_s);
  }
  const double length_s = median(lengths);
  if (!(length_s > 0.0)) {
    return result;
  }
  const MeanResponse response = average(steps, length_s);
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

}  // namespace sweepflux
