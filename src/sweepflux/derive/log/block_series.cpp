#include "sweepflux/derive/log/block_series.hpp"

#include "sweepflux/base/correlated_mean.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace sweepflux {

void BlockSeries::add(double value, double time_s, std::size_t line) {
  if (blocks_.empty() || blocks_.back().values.count() >= block_size_) {
    if (blocks_.size() == most_blocks_) {
      for (std::size_t i = 0; 2 * i + 1 < blocks_.size(); ++i) {
        Block merged = blocks_[2 * i];
        const Block& next = blocks_[2 * i + 1];
        merged.values.merge(next.values);
        merged.last_time_s = next.last_time_s;
        merged.last_line = next.last_line;
        blocks_[i] = merged;
      }
      blocks_.resize(blocks_.size() / 2);
      block_size_ *= 2;
    }
    if (blocks_.empty() || blocks_.back().values.count() >= block_size_) {
      blocks_.push_back({{}, time_s, time_s, line, line});
    }
  }
  Block& block = blocks_.back();
  block.values.add(value);
  block.last_time_s = time_s;
  block.last_line = line;
}

std::vector<const BlockSeries::Block*> BlockSeries::between(double from_s, double to_s) const {
  std::vector<const Block*> inside;
  for (const Block& block : blocks_) {
    if (block.first_time_s >= from_s && block.first_time_s <= to_s) {
      inside.push_back(&block);
    }
  }
  return inside;
}

StretchMean mean_of_stretch(const BlockSeries& series, double from_s, double to_s) {
  constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
  StretchMean result;
  RunningMoments all;
  std::vector<double> means;
  const std::vector<const BlockSeries::Block*> inside = series.between(from_s, to_s);
  for (const BlockSeries::Block* const block : inside) {
    all.merge(block->values);
    if (block->values.count() == series.block_size()) {
      means.push_back(block->values.mean());
    }
  }
  if (!inside.empty()) {
    result.first_time_s = inside.front()->first_time_s;
    result.first_line = inside.front()->first_line;
    result.last_time_s = inside.back()->last_time_s;
    result.last_line = inside.back()->last_line;
  }
  result.samples = all.count();
  result.mean = all.mean();
  result.standard_deviation = all.standard_deviation();
  result.integral_time_s = unknown;
  result.standard_error = unknown;
  result.effective_samples = result.samples > 0 ? 1.0 : 0.0;
  if (means.size() < 2) {
    return result;
  }
  result.evidence = mean_evidence(means);
  result.standard_error = standard_error_of_mean(result.evidence, correlation_prior());
  const SeriesCorrelation correlation = series_correlation(means);
  const double blocks_sd = standard_deviation(means);
  const double variance = all.variance();
  if (variance > 0.0 && blocks_sd > 0.0) {
    // Variance of the mean from the blocks, in terms of single values; the scatter about the own
    // mean lacks the share that the mean took with it.
    const double kept = 1.0 - correlation.lost_variance;
    const double of_mean = blocks_sd * blocks_sd * correlation.mean_variance_share / kept;
    const double whole = variance + of_mean;
    const double share =
        std::clamp(of_mean / whole, 1.0 / static_cast<double>(result.samples), 0.95);
    const double samples = static_cast<double>(result.samples);
    const double step_s =
        samples > 1.0 ? (result.last_time_s - result.first_time_s) / (samples - 1.0) : 0.0;
    result.effective_samples = 1.0 / share;
    result.integral_time_s = samples * step_s * exponential_time_of_variance(share);
  }
  return result;
}

const BlockSeries::Block* lone_value(const BlockSeries& series, double from_s, double to_s) {
  constexpr std::size_t fewest_others = 10;
  constexpr double far = 10.0;
  constexpr double least_deviation = 0.1;
  if (series.block_size() > 1) {
    return nullptr;
  }
  const std::vector<const BlockSeries::Block*> inside = series.between(from_s, to_s);
  if (inside.size() <= fewest_others) {
    return nullptr;
  }
  const auto [low, high] =
      std::minmax_element(inside.begin(), inside.end(), [](const auto* a, const auto* b) {
        return a->values.mean() < b->values.mean();
      });
  for (const BlockSeries::Block* const one : {*low, *high}) {
    RunningMoments others;
    for (const BlockSeries::Block* const block : inside) {
      if (block != one) {
        others.merge(block->values);
      }
    }
    if (std::abs(one->values.mean() - others.mean()) >
        far * std::max(others.standard_deviation(), least_deviation)) {
      return one;
    }
  }
  return nullptr;
}

}  // namespace sweepflux
