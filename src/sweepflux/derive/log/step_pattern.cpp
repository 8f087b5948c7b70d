#include "sweepflux/derive/log/step_pattern.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace sweepflux {
namespace {

constexpr std::size_t cells_a_period = 120;
constexpr std::size_t most_cells = 1U << 21;

void check(const StepPattern& pattern) {
  if (pattern.stops < 2 || !(std::abs(pattern.step) > 0.0) || !(pattern.dwell_s > 0.0) ||
      !(pattern.settle_s >= 0.0) || !(pattern.move_s >= 0.0)) {
    throw InputError(
        "the pattern of a sweep needs two stops or more, a step that is not 0, a dwell > 0 s, and "
        "settling and move >= 0 s");
  }
}

}  // namespace

std::vector<RigStop> list_stops(const StepPattern& pattern) {
  check(pattern);
  const std::size_t all = pattern.there_and_back ? 2 * pattern.stops : pattern.stops;
  std::vector<RigStop> stops(all);
  for (std::size_t i = 0; i < all; ++i) {
    const std::size_t at = i < pattern.stops ? i : all - 1 - i;
    stops[i].position = pattern.start + pattern.step * static_cast<double>(at);
    stops[i].start_s = pattern.period_s() * static_cast<double>(i);
    stops[i].settle_s = pattern.settle_s > 0.0 ? pattern.move_s + pattern.settle_s : 0.0;
    stops[i].dwell_s = pattern.period_s() - stops[i].settle_s;
  }
  return stops;
}

PatternFinder::PatternFinder(const StepPattern& pattern) : pattern_(pattern) {
  check(pattern);
  cell_s_ = pattern.period_s() / static_cast<double>(cells_a_period);
}

void PatternFinder::add(double time_s, double value) {
  if (!started_) {
    started_ = true;
    first_s_ = time_s;
    last_s_ = time_s;
  }
  const double at = (time_s - first_s_) / cell_s_;
  if (!(at >= 0.0) || at >= static_cast<double>(most_cells) || std::isnan(value)) {
    return;
  }
  const std::size_t cell = static_cast<std::size_t>(at);
  if (cell >= cells_.size()) {
    cells_.resize(cell + 1);
  }
  cells_[cell].sum += value;
  cells_[cell].count += 1.0;
  last_s_ = std::max(last_s_, time_s);
}

/// Cells at the start of a period that may not have settled.
std::size_t PatternFinder::settling_cells() const {
  const double share =
      pattern_.settle_s > 0.0 ? (pattern_.move_s + pattern_.settle_s) / pattern_.period_s() : 0.5;
  return static_cast<std::size_t>(std::ceil(share * static_cast<double>(cells_a_period)));
}

double PatternFinder::mean_of_cells(std::size_t from, std::size_t to) const {
  double sum = 0.0;
  double count = 0.0;
  for (std::size_t i = from; i < std::min(to, cells_.size()); ++i) {
    sum += cells_[i].sum;
    count += cells_[i].count;
  }
  return count > 0.0 ? sum / count : std::numeric_limits<double>::quiet_NaN();
}

/// Mean square of the steps from stop to stop over that of the change within a dwell, from the
/// first half of what has settled to the second. Without steps it is 0.5 for values that are
/// independent, 1 or 2 for slow turbulence.
double PatternFinder::steps_over_unrest(double begin_s) const {
  const auto begin = static_cast<std::size_t>(std::max(0.0, begin_s) / cell_s_);
  const std::size_t skip = settling_cells();
  const std::size_t half = skip + (cells_a_period - skip) / 2;
  const std::size_t stops = pattern_.there_and_back ? 2 * pattern_.stops : pattern_.stops;
  double steps = 0.0;
  double unrest = 0.0;
  double last = std::numeric_limits<double>::quiet_NaN();
  for (std::size_t i = 0; i < stops; ++i) {
    const std::size_t at = begin + i * cells_a_period;
    const double early = mean_of_cells(at + skip, at + half);
    const double late = mean_of_cells(at + half, at + cells_a_period);
    const double level = 0.5 * (early + late);
    steps += std::isfinite(level - last) ? (level - last) * (level - last) : 0.0;
    unrest += std::isfinite(late - early) ? (late - early) * (late - early) : 0.0;
    last = level;
  }
  const double n = static_cast<double>(stops);
  return unrest > 0.0 ? (steps / (n - 1.0)) / (unrest / n) : 1e300;
}

/// Scatter of the cells about the mean of their dwell, over all whole periods from that phase on.
double PatternFinder::phase_cost(std::size_t phase) const {
  const std::size_t skip = settling_cells();
  double squares = 0.0;
  double freedom = 0.0;
  for (std::size_t begin = phase; begin + cells_a_period <= cells_.size();
       begin += cells_a_period) {
    double n = 0.0;
    double sum = 0.0;
    double sum_squares = 0.0;
    for (std::size_t i = begin + skip; i < begin + cells_a_period; ++i) {
      if (cells_[i].count > 0.0) {
        const double value = cells_[i].sum / cells_[i].count;
        n += 1.0;
        sum += value;
        sum_squares += value * value;
      }
    }
    if (n > 1.0) {
      squares += sum_squares - sum * sum / n;
      freedom += n - 1.0;
    }
  }
  return freedom > 0.0 ? squares / freedom : 1e300;
}

/// How unlike the way back is to the way there, when the sweep begins at that cell.
double PatternFinder::mirror_cost(std::size_t first) const {
  const auto level = [&](std::size_t stop) {
    const std::size_t begin = first + stop * cells_a_period + cells_a_period / 2;
    const double mean = mean_of_cells(begin, begin + cells_a_period / 2);
    return std::isnan(mean) ? 0.0 : mean;
  };
  double cost = 0.0;
  for (std::size_t i = 0; i < pattern_.stops; ++i) {
    const double gap = level(i) - level(2 * pattern_.stops - 1 - i);
    cost += gap * gap;
  }
  return cost;
}

double PatternFinder::begin_s() const {
  const std::size_t stops = pattern_.there_and_back ? 2 * pattern_.stops : pattern_.stops;
  std::size_t best = 0;
  double least = 1e300;
  double sum = 0.0;
  for (std::size_t phase = 0; phase < cells_a_period; ++phase) {
    const double cost = phase_cost(phase);
    sum += cost;
    if (cost < least) {
      least = cost;
      best = phase;
    }
  }
  const double usual = sum / static_cast<double>(cells_a_period);
  if (!(least < 0.9 * usual)) {
    throw NumericalError(
        "the signal does not show the steps of the pattern; state when the sweep began (--begin)");
  }
  // Phases that are all but as good form a plateau as wide as the unneeded end of settling; the
  // step is at its late end, since settling was taken off at its start.
  const double near = least + 0.05 * (usual - least);
  std::size_t late = best;
  for (std::size_t i = 1; i < cells_a_period / 2; ++i) {
    const std::size_t phase = (best + i) % cells_a_period;
    if (phase_cost(phase) > near) {
      break;
    }
    late = best + i;
  }
  const double length_s = pattern_.period_s() * static_cast<double>(stops);
  const double phase_s = cell_s_ * static_cast<double>(late % cells_a_period);
  // The sweep may have begun up to half a period before the log did.
  double begin_s = phase_s > 0.5 * pattern_.period_s() ? phase_s - pattern_.period_s() : phase_s;
  const double spare_s = (last_s_ - first_s_) - begin_s - length_s;
  if (spare_s < -0.75 * pattern_.period_s()) {
    throw NumericalError(
        "the log holds " + format_number((last_s_ - first_s_) / pattern_.period_s(), 3) +
        " stops of " + format_number(pattern_.period_s(), 4) + " s, the pattern " +
        std::to_string(stops) +
        ": state the sweep that was made, or when it began (--begin) if the log is only a part");
  }
  const std::size_t more =
      spare_s > -0.5 * pattern_.period_s()
          ? static_cast<std::size_t>(std::floor(spare_s / pattern_.period_s() + 0.5))
          : 0;
  if (more > 0 && !pattern_.there_and_back) {
    throw NumericalError(
        "the log is " + format_number(spare_s, 3) +
        " s longer than the sweep, so the first stop cannot be distinguished from the "
        "signal; state when the sweep began (--begin)");
  }
  if (more > 0) {
    double least_mirror = 1e300;
    std::size_t shift = 0;
    for (std::size_t i = 0; i <= more; ++i) {
      const double at_s = begin_s + pattern_.period_s() * static_cast<double>(i);
      if (at_s < 0.0) {
        continue;
      }
      const double cost = mirror_cost(static_cast<std::size_t>(at_s / cell_s_));
      if (cost < least_mirror) {
        least_mirror = cost;
        shift = i;
      }
    }
    begin_s += pattern_.period_s() * static_cast<double>(shift);
  }
  constexpr double least_ratio = 4.0;
  const double ratio = steps_over_unrest(begin_s);
  if (ratio < least_ratio) {
    throw NumericalError(
        "the signal does not show the steps of the pattern: from stop to stop it "
        "changes by " +
        format_number(std::sqrt(ratio), 2) +
        " times what it does within a stop; state the sweep that was made, or when "
        "it began (--begin)");
  }
  return first_s_ + begin_s;
}

}  // namespace sweepflux
