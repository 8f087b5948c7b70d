#include "sweepflux/base/correlated_mean.hpp"
#include "sweepflux/base/statistics.hpp"
#include "sweepflux/derive/thrust/scale_plateaus_private.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

std::vector<double> means_of(ScaleBlocks blocks) {
  std::vector<double> means;
  for (const BlockSeries::Block& block : blocks) {
    means.push_back(block.values.mean());
  }
  return means;
}

/// Error of the mean of a stretch, its own slope taken off first: a stretch that settles must not
/// pass for one that scatters.
double error_about_line(std::span<const double> values) {
  const double n = static_cast<double>(values.size());
  const double centre = mean(values);
  double slope_sum = 0.0;
  double place_sum = 0.0;
  for (std::size_t i = 0; i < values.size(); ++i) {
    const double place = static_cast<double>(i) - 0.5 * (n - 1.0);
    slope_sum += place * (values[i] - centre);
    place_sum += place * place;
  }
  std::vector<double> rest(values.begin(), values.end());
  for (std::size_t i = 0; i < values.size(); ++i) {
    rest[i] -= slope_sum / place_sum * (static_cast<double>(i) - 0.5 * (n - 1.0));
  }
  const double share = series_correlation(rest).mean_variance_share;
  return standard_deviation(rest) * std::sqrt(share / (1.0 - share));
}

/// Change from the first to the last third, and what scatter alone would make of it.
struct Creep {
  double change = 0.0;
  double limit = 0.0;
};

Creep creep_of(ScaleBlocks blocks, double resolution_n) {
  const std::vector<double> means = means_of(blocks);
  const std::size_t third = means.size() / 3;
  const auto first = std::span(means).first(third);
  const auto last = std::span(means).last(third);
  Creep creep;
  creep.change = mean(last) - mean(first);
  // The last third has settled if any has; its scatter stands for the first one's too.
  creep.limit = 3.0 * std::sqrt(2.0) * error_about_line(last) + 0.5 * resolution_n;
  return creep;
}

/// Typical change from block to block when nothing happens.
double quiet_scatter(const std::vector<double>& means) {
  std::vector<double> steps;
  for (std::size_t i = 1; i < means.size(); ++i) {
    steps.push_back(means[i] - means[i - 1]);
  }
  return steps.empty() ? 0.0 : robust_scale(steps) / std::sqrt(2.0);
}

}  // namespace

Plateau settle_plateau(ScaleBlocks blocks, double resolution_n, std::optional<double> settle_s) {
  Plateau plateau;
  plateau.start_s = blocks.front().first_time_s;
  ScaleBlocks kept = blocks;
  if (settle_s) {
    const auto settled = [&](const BlockSeries::Block& block) {
      return block.first_time_s >= plateau.start_s + *settle_s - 1e-6;
    };
    const auto first = std::find_if(blocks.begin(), blocks.end() - 1, settled);
    kept = blocks.subspan(static_cast<std::size_t>(first - blocks.begin()));
  }
  if (kept.size() >= 12) {
    const std::size_t most_dropped = settle_s ? 0 : blocks.size() * 7 / 10;
    std::size_t dropped = 0;
    Creep creep = creep_of(kept, resolution_n);
    while (std::abs(creep.change) > creep.limit && dropped < most_dropped && kept.size() > 12) {
      dropped += std::max<std::size_t>(1, blocks.size() / 40);
      kept = blocks.subspan(dropped);
      creep = creep_of(kept, resolution_n);
    }
    plateau.steady = std::abs(creep.change) <= creep.limit;
    plateau.creep_n = creep.change;
  }
  BlockSeries series(4096);
  StretchMean& reading = plateau.force_n;
  RunningMoments all;
  for (const BlockSeries::Block& block : kept) {
    all.merge(block.values);
    series.add(block.values.mean(), block.first_time_s, block.first_line);
  }
  reading = mean_of_stretch(series, kept.front().first_time_s);
  reading.samples = all.count();
  reading.mean = all.mean();
  reading.standard_deviation = all.standard_deviation();
  reading.last_time_s = kept.back().last_time_s;
  reading.last_line = kept.back().last_line;
  if (kept.size() >= 12) {
    // A plateau is long against the scale's own times, or it would not pass for steady; so the
    // correlation found in it can be taken at its word.
    const std::vector<double> means = means_of(kept);
    const double share = series_correlation(means).mean_variance_share;
    reading.standard_error = standard_deviation(means) * std::sqrt(share / (1.0 - share));
  }
  plateau.settle_s = reading.first_time_s - plateau.start_s;
  return plateau;
}

std::vector<Plateau> split_into_plateaus(ScaleBlocks blocks,
                                         double resolution_n,
                                         std::optional<double> settle_s) {
  constexpr std::size_t reach = 3;  // blocks on either side
  constexpr double shortest_s = 5.0;
  const std::vector<double> means = means_of(blocks);
  const std::size_t n = means.size();
  std::vector<Plateau> plateaus;
  if (n < 2 * reach + 1) {
    return plateaus;
  }
  const double range =
      *std::max_element(means.begin(), means.end()) - *std::min_element(means.begin(), means.end());
  // Eight times the scatter is no accident among some thousand blocks, and a fiftieth of the
  // whole range is more than a fan's own unrest; common practice, no published source.
  const double limit =
      std::max({8.0 * quiet_scatter(means), 3.0 * resolution_n, 0.02 * range, 1e-12});
  std::vector<bool> moves(n, false);
  for (std::size_t i = reach; i + reach < n; ++i) {
    const double before = median(std::span(means).subspan(i - reach, reach));
    const double after = median(std::span(means).subspan(i + 1, reach));
    moves[i] = std::abs(after - before) > limit;
  }
  for (std::size_t i = 0; i < n;) {
    if (moves[i]) {
      ++i;
      continue;
    }
    const auto stop = std::find(moves.begin() + static_cast<std::ptrdiff_t>(i), moves.end(), true);
    const auto end = static_cast<std::size_t>(stop - moves.begin());
    const ScaleBlocks run = blocks.subspan(i, end - i);
    if (run.back().last_time_s - run.front().first_time_s >= shortest_s) {
      plateaus.push_back(settle_plateau(run, resolution_n, settle_s));
    }
    i = end;
  }
  return plateaus;
}

}  // namespace sweepflux
