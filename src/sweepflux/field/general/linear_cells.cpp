#include "sweepflux/field/general/linear_cells.hpp"

#include "sweepflux/field/general/predicates_private.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <utility>

namespace sweepflux {
namespace {

struct Corner {
  PlanePoint at;
  double value = 0.0;
};

/// Shares of three corners in a place; they add up to 1.
std::array<double, 3> shares(const std::array<Corner, 3>& corner, PlanePoint p) {
  const auto twice_area = [](PlanePoint a, PlanePoint b, PlanePoint c) {
    return (b.y_m - a.y_m) * (c.z_m - a.z_m) - (b.z_m - a.z_m) * (c.y_m - a.y_m);
  };
  const double first = twice_area(p, corner[1].at, corner[2].at);
  const double second = twice_area(corner[0].at, p, corner[2].at);
  const double third = twice_area(corner[0].at, corner[1].at, p);
  const double all = first + second + third;
  return {first / all, second / all, third / all};
}

double blend(const std::array<Corner, 3>& corner, std::array<double, 3> share) {
  // The lattice may call a place inside that is a hair outside: never beyond the corners' values.
  double total = 0.0;
  for (double& part : share) {
    part = std::max(part, 0.0);
    total += part;
  }
  return (share[0] * corner[0].value + share[1] * corner[1].value + share[2] * corner[2].value) /
         total;
}

}  // namespace

LinearCells::LinearCells(ScatteredValues values)
    : values_(std::move(values)), lattice_(values_.at), cells_(delaunay_cells(values_.at)) {
  for (const PlanePoint& p : values_.at) {
    snapped_.push_back(lattice_.snap(p));
    span_.y = std::max(span_.y, snapped_.back().y);
    span_.z = std::max(span_.z, snapped_.back().z);
  }
  side_ = static_cast<std::size_t>(std::sqrt(static_cast<double>(values_.at.size()))) + 1;
  fill_buckets();
}

std::size_t LinearCells::bucket(std::int64_t number, std::int64_t span) const {
  const double share = static_cast<double>(number) / static_cast<double>(span + 1);
  return std::min(side_ - 1,
                  static_cast<std::size_t>(std::max(0.0, share * static_cast<double>(side_))));
}

void LinearCells::fill_buckets() {
  const auto for_buckets = [this](const DelaunayCell& cell, const auto& use) {
    LatticePoint low = snapped_[cell[0]];
    LatticePoint high = low;
    for (const std::size_t corner : cell) {
      low.y = std::min(low.y, snapped_[corner].y);
      low.z = std::min(low.z, snapped_[corner].z);
      high.y = std::max(high.y, snapped_[corner].y);
      high.z = std::max(high.z, snapped_[corner].z);
    }
    for (std::size_t z = bucket(low.z, span_.z); z <= bucket(high.z, span_.z); ++z) {
      for (std::size_t y = bucket(low.y, span_.y); y <= bucket(high.y, span_.y); ++y) {
        use(z * side_ + y);
      }
    }
  };
  first_.assign(side_ * side_ + 1, 0);
  for (const DelaunayCell& cell : cells_) {
    for_buckets(cell, [&](std::size_t b) { ++first_[b + 1]; });
  }
  for (std::size_t b = 1; b < first_.size(); ++b) {
    first_[b] += first_[b - 1];
  }
  listed_.resize(first_.back());
  std::vector<std::size_t> next(first_.begin(), first_.end() - 1);
  for (std::size_t c = 0; c < cells_.size(); ++c) {
    for_buckets(cells_[c], [&](std::size_t b) { listed_[next[b]++] = c; });
  }
}

bool LinearCells::holds(const DelaunayCell& cell, LatticePoint p) const {
  for (std::size_t i = 0; i < cell.size(); ++i) {
    const std::size_t following = i + 1 < cell.size() ? i + 1 : 0;
    if (turn(snapped_[cell[i]], snapped_[cell[following]], p) < 0) {
      return false;
    }
  }
  return true;
}

double LinearCells::value_in(const DelaunayCell& cell, PlanePoint p) const {
  const auto corner = [&](std::size_t i) {
    return Corner{values_.at[cell[i]], values_.value[cell[i]]};
  };
  if (cell.size() == 3) {
    const std::array<Corner, 3> triangle{corner(0), corner(1), corner(2)};
    return blend(triangle, shares(triangle, p));
  }
  Corner centre;
  for (std::size_t i = 0; i < cell.size(); ++i) {
    const double share = 1.0 / static_cast<double>(cell.size());
    centre.at.y_m += share * corner(i).at.y_m;
    centre.at.z_m += share * corner(i).at.z_m;
    centre.value += share * corner(i).value;
  }
  double result = 0.0;
  double best = -std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < cell.size(); ++i) {
    const std::array<Corner, 3> part{centre, corner(i), corner(i + 1 < cell.size() ? i + 1 : 0)};
    const std::array<double, 3> share = shares(part, p);
    const double least = std::min({share[0], share[1], share[2]});
    if (least > best) {
      best = least;
      result = blend(part, share);
    }
  }
  return result;
}

double LinearCells::at(PlanePoint wanted) const {
  const LatticePoint p = lattice_.snap(wanted);
  if (p.y >= 0 && p.y <= span_.y && p.z >= 0 && p.z <= span_.z) {
    const std::size_t b = bucket(p.z, span_.z) * side_ + bucket(p.y, span_.y);
    for (std::size_t i = first_[b]; i < first_[b + 1]; ++i) {
      const DelaunayCell& cell = cells_[listed_[i]];
      if (holds(cell, p)) {
        return value_in(cell, wanted);
      }
    }
  }
  return std::numeric_limits<double>::quiet_NaN();
}

}  // namespace sweepflux
