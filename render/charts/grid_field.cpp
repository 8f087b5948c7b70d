#include "render/charts/grid_field.hpp"

#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <string>

namespace sweepflux::render {
namespace {

constexpr std::size_t nothing = std::numeric_limits<std::size_t>::max();

/// Crossings of grid edges, each joined to at most two others.
class Tracer {
 public:
  Tracer(const GridField& field, double level, double support)
      : field_(field),
        level_(level),
        support_(support),
        joined_(2 * field.values.size(), {nothing, nothing}) {}

  std::vector<Contour> run() {
    for (std::size_t row = 0; row + 1 < field_.rows; ++row) {
      for (std::size_t column = 0; column + 1 < field_.columns; ++column) {
        cross_cell(column, row);
      }
    }
    return collect();
  }

 private:
  // An edge is named by its lower or left corner: even to the right of it, odd upwards.
  std::size_t level_edge(std::size_t column, std::size_t row) const {
    return 2 * (row * field_.columns + column);
  }
  std::size_t upright_edge(std::size_t column, std::size_t row) const {
    return level_edge(column, row) + 1;
  }
  bool usable(std::size_t column, std::size_t row) const {
    return std::isfinite(field_.value(column, row)) && field_.support_at(column, row) >= support_;
  }
  void join(std::size_t a, std::size_t b) {
    for (const auto& [from, to] : {std::array{a, b}, std::array{b, a}}) {
      if (joined_[from][0] == nothing) {
        joined_[from][0] = to;
        used_.push_back(from);
      } else {
        joined_[from][1] = to;
      }
    }
  }
  void cross_cell(std::size_t column, std::size_t row);
  Contour::Vertex place(std::size_t edge) const;
  std::vector<Contour> collect();
  Contour follow(std::size_t start, std::vector<bool>& seen) const;

  const GridField& field_;
  double level_;
  double support_;
  std::vector<std::array<std::size_t, 2>> joined_;
  std::vector<std::size_t> used_;
};

void Tracer::cross_cell(std::size_t column, std::size_t row) {
  const std::array<double, 4> corner{field_.value(column, row),
                                     field_.value(column + 1, row),
                                     field_.value(column + 1, row + 1),
                                     field_.value(column, row + 1)};
  unsigned above = 0;
  for (unsigned k = 0; k < 4; ++k) {
    above |= (corner[k] >= level_ ? 1U : 0U) << k;
  }
  if (above == 0 || above == 15 || !usable(column, row) || !usable(column + 1, row) ||
      !usable(column + 1, row + 1) || !usable(column, row + 1)) {
    return;
  }
  const std::array<std::size_t, 4> side{level_edge(column, row),
                                        upright_edge(column + 1, row),
                                        level_edge(column, row + 1),
                                        upright_edge(column, row)};
  if (above == 5 || above == 10) {
    // Two opposite corners are above. They hang together when the middle is above too.
    const double middle = 0.25 * (corner[0] + corner[1] + corner[2] + corner[3]);
    const bool cut_even_corners = (middle >= level_) == (above == 10);
    join(side[0], side[cut_even_corners ? 3 : 1]);
    join(side[2], side[cut_even_corners ? 1 : 3]);
    return;
  }
  std::array<std::size_t, 2> ends{nothing, nothing};
  std::size_t found = 0;
  for (unsigned k = 0; k < 4; ++k) {
    const bool here = (above >> k & 1U) != 0;
    const bool next = (above >> ((k + 1) % 4) & 1U) != 0;
    if (here != next && found < 2) {
      ends[found++] = side[k];
    }
  }
  join(ends[0], ends[1]);
}

Contour::Vertex Tracer::place(std::size_t edge) const {
  const std::size_t column = edge / 2 % field_.columns;
  const std::size_t row = edge / 2 / field_.columns;
  const bool upright = edge % 2 == 1;
  const double from = field_.value(column, row);
  const double to = upright ? field_.value(column, row + 1) : field_.value(column + 1, row);
  const double t = (level_ - from) / (to - from);
  const auto c = static_cast<double>(column);
  const auto r = static_cast<double>(row);
  return upright ? Contour::Vertex{field_.across(c), field_.up(r + t)}
                 : Contour::Vertex{field_.across(c + t), field_.up(r)};
}

Contour Tracer::follow(std::size_t start, std::vector<bool>& seen) const {
  Contour contour;
  std::size_t edge = start;
  std::size_t came_from = nothing;
  while (edge != nothing && !seen[edge]) {
    seen[edge] = true;
    contour.points.push_back(place(edge));
    const std::array<std::size_t, 2>& next = joined_[edge];
    const std::size_t onward = next[0] != came_from ? next[0] : next[1];
    came_from = edge;
    edge = onward;
  }
  contour.closed = edge == start && contour.points.size() > 2;
  return contour;
}

std::vector<Contour> Tracer::collect() {
  std::vector<bool> seen(joined_.size(), false);
  std::vector<Contour> contours;
  // Open lines first, from an end; what is left is closed.
  for (const bool open : {true, false}) {
    for (const std::size_t edge : used_) {
      if (!seen[edge] && (!open || joined_[edge][1] == nothing)) {
        contours.push_back(follow(edge, seen));
      }
    }
  }
  std::stable_sort(contours.begin(), contours.end(), [](const Contour& a, const Contour& b) {
    return a.points.size() > b.points.size();
  });
  return contours;
}

}  // namespace

void check(const GridField& field) {
  const std::size_t cells = field.columns * field.rows;
  if (cells == 0 || field.values.size() != cells) {
    throw InputError("a field of " + std::to_string(field.columns) + " x " +
                     std::to_string(field.rows) + " cells has " +
                     std::to_string(field.values.size()) + " values");
  }
  if (!field.support.empty() && field.support.size() != cells) {
    throw InputError("a field of " + std::to_string(cells) + " cells has " +
                     std::to_string(field.support.size()) + " values of support");
  }
  if (!(field.across_step > 0.0 && field.up_step > 0.0)) {
    throw InputError("the steps of a field must be > 0");
  }
}

FieldValue look_up(const GridField& field, double across, double up) {
  const double last_column = static_cast<double>(field.columns - 1);
  const double last_row = static_cast<double>(field.rows - 1);
  const double c = std::clamp((across - field.across_min) / field.across_step, 0.0, last_column);
  const double r = std::clamp((up - field.up_min) / field.up_step, 0.0, last_row);
  const auto c0 = static_cast<std::size_t>(c);
  const auto r0 = static_cast<std::size_t>(r);
  const std::size_t c1 = std::min(c0 + 1, field.columns - 1);
  const std::size_t r1 = std::min(r0 + 1, field.rows - 1);
  const double fc = c - static_cast<double>(c0);
  const double fr = r - static_cast<double>(r0);
  const auto mix = [fc, fr](double a, double b, double d, double e) {
    return (a * (1.0 - fc) + b * fc) * (1.0 - fr) + (d * (1.0 - fc) + e * fc) * fr;
  };
  FieldValue found;
  found.value =
      mix(field.value(c0, r0), field.value(c1, r0), field.value(c0, r1), field.value(c1, r1));
  found.support = mix(field.support_at(c0, r0),
                      field.support_at(c1, r0),
                      field.support_at(c0, r1),
                      field.support_at(c1, r1));
  if (!std::isfinite(found.value)) {
    const std::size_t column = fc < 0.5 ? c0 : c1;
    const std::size_t row = fr < 0.5 ? r0 : r1;
    found.value = field.value(column, row);
    found.support = std::isnan(found.value) ? 0.0 : field.support_at(column, row);
  }
  return found;
}

std::vector<Contour> trace_contours(const GridField& field, double level, double support_wanted) {
  check(field);
  return Tracer(field, level, support_wanted).run();
}

}  // namespace sweepflux::render
