#include "sweepflux/derive/log/list_fit.hpp"

#include "sweepflux/derive/log/rests.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace sweepflux {
namespace {

constexpr std::size_t most_cells = 200000;
constexpr double cells_a_stop = 40.0;  // of the shortest
/// Cells whose means are all but independent of their neighbours'.
constexpr std::size_t joined = 10;
constexpr double standard_deviations = 4.0;

/// Running sums over the cells: squares about the mean of any stretch at once.
struct RunningSums {
  std::vector<double> values{0.0}, counts{0.0}, squares{0.0};

  void add(double value, bool there) {
    values.push_back(values.back() + (there ? value : 0.0));
    counts.push_back(counts.back() + (there ? 1.0 : 0.0));
    squares.push_back(squares.back() + (there ? value * value : 0.0));
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
    const auto cells = static_cast<std::ptrdiff_t>(counts.size()) - 1;
    double sum = 0.0;
    std::size_t from = 0;
    for (const double edge_s : edges_s) {
      const auto at = static_cast<std::ptrdiff_t>(std::lround(edge_s / cell_s)) + shift;
      const auto to = static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(at, 0, cells));
      sum += about_mean(from, to);
      from = to;
    }
    return sum + about_mean(from, static_cast<std::size_t>(cells));
  }
};

}  // namespace

ListFit::ListFit(const std::vector<RigStop>& stops) {
  double shortest_s = std::numeric_limits<double>::infinity();
  double settle_s = std::numeric_limits<double>::infinity();
  for (const RigStop& stop : stops) {
    edges_s_.push_back(stop.start_s);
    shortest_s = std::min(shortest_s, stop.settle_s + stop.dwell_s);
    settle_s = std::min(settle_s, stop.settle_s);
  }
  edges_s_.push_back(stops.back().end_s());
  // A settling time that is not listed is found from the response, up to half of a stop.
  settle_s_ = settle_s > 0.0 ? settle_s : 0.5 * shortest_s;
  cell_s_ = shortest_s / cells_a_stop;
}

void ListFit::add(double time_s, double value) {
  const double at = time_s / cell_s_;
  if (!(at >= 0.0) || at >= static_cast<double>(most_cells) || !std::isfinite(value)) {
    return;
  }
  const auto cell = static_cast<std::size_t>(at);
  if (cell >= cells_.size()) {
    cells_.resize(cell + 1);
  }
  cells_[cell].sum += std::sqrt(std::max(value, 0.0));
  cells_[cell].count += 1.0;
}

std::optional<double> ListFit::better_shift_s() const {
  RunningSums fine, coarse;
  Cell together;
  for (std::size_t i = 0; i < cells_.size(); ++i) {
    const Cell& cell = cells_[i];
    const bool there = cell.count > 0.0;
    fine.add(there ? cell.sum / cell.count : 0.0, there);
    together.sum += cell.sum;
    together.count += cell.count;
    if ((i + 1) % joined == 0 || i + 1 == cells_.size()) {
      const bool any = together.count > 0.0;
      coarse.add(any ? together.sum / together.count : 0.0, any);
      together = {};
    }
  }
  const double step_s = cell_s_ * static_cast<double>(joined);
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
    const double squares = fine.about_levels(edges_s_, cell_s_, shift);
    if (squares < least) {
      least = squares;
      best = shift;
    }
  }
  return static_cast<double>(best) * cell_s_;
}

}  // namespace sweepflux
