#include "sweepflux/derive/log/stops_in_signal.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace sweepflux {
namespace {

constexpr double cells_a_stop = 40.0;  // of the shortest
constexpr std::size_t cells_a_period = 120;
/// Cells whose means are all but independent of their neighbours'.
constexpr std::size_t joined = 10;
constexpr double standard_deviations = 4.0;

/// Running sums over the cells: squares about the mean of any stretch at once.
struct RunningSums {
  std::vector<double> values{0.0}, counts{0.0}, squares{0.0};

  void add(const TimeCells::Cell& cell) {
    const bool there = cell.count > 0.0;
    const double value = there ? cell.mean() : 0.0;
    values.push_back(values.back() + value);
    counts.push_back(counts.back() + (there ? 1.0 : 0.0));
    squares.push_back(squares.back() + value * value);
  }
  [[nodiscard]] double about_mean(std::size_t from, std::size_t to) const {
    const double n = counts[to] - counts[from];
    const double sum = values[to] - values[from];
    return n > 0.0 ? squares[to] - squares[from] - sum * sum / n : 0.0;
  }
  /// About a level before the first edge, between two, and after the last.
  [[nodiscard]] double about_levels(const std::vector<double>& edges_s,
                                    double cell_s,
                                    std::ptrdiff_t shift) const {
    const auto last = static_cast<std::ptrdiff_t>(counts.size()) - 1;
    double sum = 0.0;
    std::size_t from = 0;
    for (const double edge_s : edges_s) {
      const auto at = static_cast<std::ptrdiff_t>(std::lround(edge_s / cell_s)) + shift;
      const auto to = static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(at, 0, last));
      sum += about_mean(from, to);
      from = to;
    }
    return sum + about_mean(from, static_cast<std::size_t>(last));
  }
};

void check_pattern(const StepPattern& pattern) {
  if (pattern.stops < 2 || !(std::abs(pattern.step) > 0.0) || !(pattern.dwell_s > 0.0) ||
      !(pattern.settle_s >= 0.0) || !(pattern.move_s >= 0.0)) {
    throw InputError(
        "the pattern of a sweep needs two stops or more, a step that is not 0, a dwell > 0 s, and "
        "settling and move >= 0 s");
  }
}

}  // namespace

bool TimeCells::add(double time_s, double value) {
  const double at = time_s / cell_s_;
  if (!(at >= 0.0) || at >= static_cast<double>(most_)) {
    return false;
  }
  const auto cell = static_cast<std::size_t>(at);
  if (cell >= cells_.size()) {
    cells_.resize(cell + 1);
  }
  cells_[cell].sum += value;
  cells_[cell].count += 1.0;
  return true;
}

TimeCells::Cell TimeCells::together(std::size_t from, std::size_t to) const {
  Cell all;
  for (std::size_t i = from; i < std::min(to, cells_.size()); ++i) {
    all.sum += cells_[i].sum;
    all.count += cells_[i].count;
  }
  return all;
}

ListFit::ListFit(const std::vector<RigStop>& stops) {
  double shortest_s = std::numeric_limits<double>::infinity();
  double settle_s = std::numeric_limits<double>::infinity();
  for (const RigStop& stop : stops) {
    edges_s_.push_back(stop.start_s);
    shortest_s = std::min(shortest_s, stop.settle_s + stop.dwell_s);
    settle_s = std::min(settle_s, stop.settle_s);
  }
  edges_s_.push_back(end_s(stops.back()));
  // A settling time that is not listed is found from the response, up to half of a stop.
  settle_s_ = settle_s > 0.0 ? settle_s : 0.5 * shortest_s;
  cells_.set_length_s(shortest_s / cells_a_stop);
}

void ListFit::add(double time_s, double value) {
  if (std::isfinite(value)) {
    cells_.add(time_s, std::sqrt(std::max(value, 0.0)));
  }
}

std::optional<double> ListFit::better_shift_s() const {
  RunningSums fine, coarse;
  for (std::size_t i = 0; i < cells_.size(); ++i) {
    fine.add(cells_[i]);
  }
  for (std::size_t i = 0; i < cells_.size(); i += joined) {
    coarse.add(cells_.together(i, i + joined));
  }
  const double cell_s = cells_.length_s();
  const double step_s = cell_s * static_cast<double>(joined);
  const auto last = static_cast<std::ptrdiff_t>(coarse.counts.size()) - 1;
  // At least half of the sweep lies within the log.
  const auto half =
      static_cast<std::ptrdiff_t>(0.5 * (edges_s_.back() - edges_s_.front()) / step_s);
  const auto latest = static_cast<std::ptrdiff_t>(settle_s_ / step_s);
  double as_taken = std::numeric_limits<double>::infinity();
  double otherwise = std::numeric_limits<double>::infinity();
  std::ptrdiff_t best = 0;
  for (std::ptrdiff_t shift = -half; shift < last - half; ++shift) {
    const double squares = coarse.about_levels(edges_s_, step_s, shift);
    if (shift >= 0 && shift <= latest) {
      as_taken = std::min(as_taken, squares);
    } else if (squares < otherwise) {
      otherwise = squares;
      best = shift;
    }
  }
  const double levels = static_cast<double>(edges_s_.size()) + 1.0;
  const double freedom = coarse.counts.back() - levels;
  if (!(freedom > levels) || !(otherwise < as_taken)) {
    return std::nullopt;
  }
  // Of pure noise, two sets of levels leave sums of squares that differ by a standard deviation of
  // the root of four times their number, in variances of a cell: each takes out a chi square.
  const double gain = (as_taken - otherwise) * freedom / otherwise;
  if (!(gain > standard_deviations * std::sqrt(4.0 * levels))) {
    return std::nullopt;
  }
  const auto near = best * static_cast<std::ptrdiff_t>(joined);
  const auto width = static_cast<std::ptrdiff_t>(joined);
  double least = std::numeric_limits<double>::infinity();
  for (std::ptrdiff_t shift = near - width; shift <= near + width; ++shift) {
    const double squares = fine.about_levels(edges_s_, cell_s, shift);
    if (squares < least) {
      least = squares;
      best = shift;
    }
  }
  return static_cast<double>(best) * cell_s;
}

std::vector<RigStop> list_stops(const StepPattern& pattern) {
  check_pattern(pattern);
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

PatternFinder::PatternFinder(const StepPattern& pattern)
    : pattern_(pattern), stops_(list_stops(pattern).size()) {
  cells_.set_length_s(pattern.period_s() / static_cast<double>(cells_a_period));
}

void PatternFinder::add(double time_s, double value) {
  if (!first_s_) {
    first_s_ = last_s_ = time_s;
  }
  if (!std::isnan(value) && cells_.add(time_s - *first_s_, value)) {
    last_s_ = std::max(last_s_, time_s);
  }
}

/// Cells at the start of a period that may not have settled.
std::size_t PatternFinder::settling_cells() const {
  const double share =
      pattern_.settle_s > 0.0 ? (pattern_.move_s + pattern_.settle_s) / pattern_.period_s() : 0.5;
  return static_cast<std::size_t>(std::ceil(share * static_cast<double>(cells_a_period)));
}

double PatternFinder::mean_of_cells(std::size_t from, std::size_t to) const {
  const TimeCells::Cell all = cells_.together(from, to);
  return all.count > 0.0 ? all.mean() : std::numeric_limits<double>::quiet_NaN();
}

/// Mean square of the steps from stop to stop over that of the change within a dwell, from the
/// first half of what has settled to the second. Without steps it is 0.5 for values that are
/// independent, 1 or 2 for slow turbulence.
double PatternFinder::steps_over_unrest(double begin_s) const {
  const auto begin = static_cast<std::size_t>(std::max(0.0, begin_s) / cells_.length_s());
  const std::size_t skip = settling_cells();
  const std::size_t half = skip + (cells_a_period - skip) / 2;
  double steps = 0.0;
  double unrest = 0.0;
  double last = std::numeric_limits<double>::quiet_NaN();
  for (std::size_t i = 0; i < stops_; ++i) {
    const std::size_t at = begin + i * cells_a_period;
    const double early = mean_of_cells(at + skip, at + half);
    const double late = mean_of_cells(at + half, at + cells_a_period);
    const double level = 0.5 * (early + late);
    steps += std::isfinite(level - last) ? (level - last) * (level - last) : 0.0;
    unrest += std::isfinite(late - early) ? (late - early) * (late - early) : 0.0;
    last = level;
  }
  const double n = static_cast<double>(stops_);
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
        const double value = cells_[i].mean();
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
  const double first_s = first_s_.value_or(0.0);
  const double period_s = pattern_.period_s();
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
  const double length_s = period_s * static_cast<double>(stops_);
  const double phase_s = cells_.length_s() * static_cast<double>(late % cells_a_period);
  // The sweep may have begun up to half a period before the log did.
  double begin_s = phase_s > 0.5 * period_s ? phase_s - period_s : phase_s;
  const double spare_s = (last_s_ - first_s) - begin_s - length_s;
  if (spare_s < -0.75 * period_s) {
    throw NumericalError(
        "the log holds " + format_number((last_s_ - first_s) / period_s, 3) + " stops of " +
        format_number(period_s, 4) + " s, the pattern " + std::to_string(stops_) +
        ": state the sweep that was made, or when it began (--begin) if the log is only a part");
  }
  const std::size_t more = spare_s > -0.5 * period_s
                               ? static_cast<std::size_t>(std::floor(spare_s / period_s + 0.5))
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
      const double at_s = begin_s + period_s * static_cast<double>(i);
      if (at_s < 0.0) {
        continue;
      }
      const double cost = mirror_cost(static_cast<std::size_t>(at_s / cells_.length_s()));
      if (cost < least_mirror) {
        least_mirror = cost;
        shift = i;
      }
    }
    begin_s += period_s * static_cast<double>(shift);
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
  return first_s + begin_s;
}

}  // namespace sweepflux
