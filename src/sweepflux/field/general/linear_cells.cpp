#include "sweepflux/field/general/linear_cells.hpp"

#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numeric>
#include <utility>

namespace sweepflux {
namespace {

/// Edges of a planar subdivision and of its dual, four directed ones in a row: edge, its dual,
/// its reverse, the reverse's dual [Guibas 1985].
class Subdivision {
 public:
  using Edge = std::size_t;

  explicit Subdivision(std::vector<LatticePoint> sorted) : points_(std::move(sorted)) {
    next_.reserve(12 * points_.size());
    origin_.reserve(12 * points_.size());
  }

  void triangulate() { build(0, points_.size()); }
  void join_cells_on_one_circle();
  std::vector<std::vector<std::size_t>> cells() const;

 private:
  static Edge turned(Edge e) { return (e & ~Edge{3}) | ((e + 1) & 3); }
  static Edge turned_back(Edge e) { return (e & ~Edge{3}) | ((e + 3) & 3); }
  static Edge reverse(Edge e) { return e ^ 2; }
  Edge around_origin(Edge e) const { return next_[e]; }
  Edge back_around_origin(Edge e) const { return turned(next_[turned(e)]); }
  Edge around_left(Edge e) const { return turned(next_[turned_back(e)]); }
  Edge back_around_right(Edge e) const { return next_[reverse(e)]; }
  std::size_t from(Edge e) const { return origin_[e]; }
  std::size_t to(Edge e) const { return origin_[reverse(e)]; }

  Edge make_edge(std::size_t a, std::size_t b);
  void splice(Edge a, Edge b);
  Edge connect(Edge a, Edge b);
  void remove(Edge e);

  std::int64_t turn_of(std::size_t a, std::size_t b, std::size_t c) const {
    return turn(points_[a], points_[b], points_[c]);
  }
  bool left_of(std::size_t p, Edge e) const { return turn_of(p, from(e), to(e)) > 0; }
  bool right_of(std::size_t p, Edge e) const { return turn_of(p, to(e), from(e)) > 0; }
  bool inside(std::size_t a, std::size_t b, std::size_t c, std::size_t d) const {
    return in_circle(points_[a], points_[b], points_[c], points_[d]) > 0;
  }

  /// Hull edges at both ends: from the first point, the outside to its right; and from the last,
  /// the outside to its left.
  using Ends = std::pair<Edge, Edge>;
  Ends build(std::size_t first, std::size_t last);
  Ends build_small(std::size_t first, std::size_t last);
  void merge_up(Edge base);
  bool on_one_circle(Edge e) const;

  std::vector<LatticePoint> points_;
  std::vector<Edge> next_;
  std::vector<std::size_t> origin_;  // of the edges; unused for the dual ones
  std::vector<char> gone_;           // by edge / 4
};

Subdivision::Edge Subdivision::make_edge(std::size_t a, std::size_t b) {
  const Edge e = next_.size();
  next_.insert(next_.end(), {e, e + 3, e + 2, e + 1});
  origin_.insert(origin_.end(), {a, 0, b, 0});
  gone_.push_back(0);
  return e;
}

void Subdivision::splice(Edge a, Edge b) {
  const Edge dual_a = turned(next_[a]);
  const Edge dual_b = turned(next_[b]);
  std::swap(next_[a], next_[b]);
  std::swap(next_[dual_a], next_[dual_b]);
}

Subdivision::Edge Subdivision::connect(Edge a, Edge b) {
  const Edge e = make_edge(to(a), from(b));
  splice(e, around_left(a));
  splice(reverse(e), b);
  return e;
}

void Subdivision::remove(Edge e) {
  splice(e, back_around_origin(e));
  splice(reverse(e), back_around_origin(reverse(e)));
  gone_[e / 4] = 1;
}

Subdivision::Ends Subdivision::build_small(std::size_t first, std::size_t last) {
  const Edge a = make_edge(first, first + 1);
  if (last - first == 2) {
    return {a, reverse(a)};
  }
  const Edge b = make_edge(first + 1, first + 2);
  splice(reverse(a), b);
  const std::int64_t side = turn_of(first, first + 1, first + 2);
  if (side == 0) {
    return {a, reverse(b)};
  }
  const Edge c = connect(b, a);
  return side > 0 ? Ends{a, reverse(b)} : Ends{reverse(c), c};
}

Subdivision::Ends Subdivision::build(std::size_t first, std::size_t last) {
  if (last - first <= 3) {
    return build_small(first, last);
  }
  const std::size_t middle = first + (last - first) / 2;
  auto [left_outer, left_inner] = build(first, middle);
  auto [right_inner, right_outer] = build(middle, last);
  for (;;) {  // lower common tangent
    if (left_of(from(right_inner), left_inner)) {
      left_inner = around_left(left_inner);
    } else if (right_of(from(left_inner), right_inner)) {
      right_inner = back_around_right(right_inner);
    } else {
      break;
    }
  }
  const Edge base = connect(reverse(right_inner), left_inner);
  if (from(left_inner) == from(left_outer)) {
    left_outer = reverse(base);
  }
  if (from(right_inner) == from(right_outer)) {
    right_outer = base;
  }
  merge_up(base);
  return {left_outer, right_outer};
}

void Subdivision::merge_up(Edge base) {
  const auto above = [&](Edge e) { return right_of(to(e), base); };
  for (;;) {
    Edge left = around_origin(reverse(base));
    if (above(left)) {
      while (inside(to(base), from(base), to(left), to(around_origin(left)))) {
        const Edge following = around_origin(left);
        remove(left);
        left = following;
      }
    }
    Edge right = back_around_origin(base);
    if (above(right)) {
      while (inside(to(base), from(base), to(right), to(back_around_origin(right)))) {
        const Edge following = back_around_origin(right);
        remove(right);
        right = following;
      }
    }
    if (!above(left) && !above(right)) {
      return;
    }
    if (!above(left) || (above(right) && inside(to(left), from(left), from(right), to(right)))) {
      base = connect(right, reverse(base));
    } else {
      base = connect(reverse(base), reverse(left));
    }
  }
}

bool Subdivision::on_one_circle(Edge e) const {
  const std::size_t a = from(e);
  const std::size_t b = to(e);
  const std::size_t left = to(around_origin(e));
  const std::size_t right = to(back_around_origin(e));
  return turn_of(a, b, left) > 0 && turn_of(b, a, right) > 0 &&
         in_circle(points_[a], points_[b], points_[left], points_[right]) == 0;
}

void Subdivision::join_cells_on_one_circle() {
  std::vector<Edge> needless;  // all found before any goes, while the cells are triangles
  for (Edge e = 0; e < next_.size(); e += 4) {
    if (gone_[e / 4] == 0 && on_one_circle(e)) {
      needless.push_back(e);
    }
  }
  for (const Edge e : needless) {
    remove(e);
  }
}

std::vector<std::vector<std::size_t>> Subdivision::cells() const {
  std::vector<std::vector<std::size_t>> result;
  std::vector<char> seen(next_.size(), 0);
  for (Edge start = 0; start < next_.size(); start += 2) {
    if (gone_[start / 4] != 0 || seen[start] != 0) {
      continue;
    }
    std::vector<std::size_t> corners;
    double area = 0.0;
    for (Edge e = start; seen[e] == 0; e = around_left(e)) {
      seen[e] = 1;
      corners.push_back(from(e));
      area += static_cast<double>(turn_of(from(start), from(e), to(e)));
    }
    if (area > 0.0) {  // the outside runs the other way round
      result.push_back(std::move(corners));
    }
  }
  return result;
}

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

std::vector<DelaunayCell> delaunay_cells(std::span<const PlanePoint> at) {
  require_finite(at, "place");
  require_two_directions(at, "triangulation");
  const Lattice lattice(at);
  std::vector<std::size_t> order(at.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::vector<LatticePoint> snapped(at.size());
  std::transform(
      at.begin(), at.end(), snapped.begin(), [&](PlanePoint p) { return lattice.snap(p); });
  const auto rank = [&](std::size_t i) { return std::pair(snapped[i].y, snapped[i].z); };
  std::sort(
      order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return rank(a) < rank(b); });
  std::vector<LatticePoint> sorted;
  for (const std::size_t i : order) {
    if (!sorted.empty() && sorted.back() == snapped[i]) {
      throw InputError("triangulation: two places are equal; merge them first");
    }
    sorted.push_back(snapped[i]);
  }
  Subdivision subdivision(std::move(sorted));
  subdivision.triangulate();
  subdivision.join_cells_on_one_circle();
  std::vector<DelaunayCell> cells = subdivision.cells();
  if (cells.empty()) {
    throw NumericalError("triangulation: the places lie too nearly in one line");
  }
  for (DelaunayCell& cell : cells) {
    for (std::size_t& corner : cell) {
      corner = order[corner];
    }
  }
  // From the least place on, and by it: the same list for the same places.
  const auto less = [&](std::size_t a, std::size_t b) { return rank(a) < rank(b); };
  for (DelaunayCell& cell : cells) {
    std::rotate(cell.begin(), std::min_element(cell.begin(), cell.end(), less), cell.end());
  }
  std::sort(cells.begin(), cells.end(), [&](const DelaunayCell& a, const DelaunayCell& b) {
    return std::lexicographical_compare(a.begin(), a.end(), b.begin(), b.end(), less);
  });
  return cells;
}

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
  buckets_.resize(side_ * side_);
  for (std::size_t c = 0; c < cells_.size(); ++c) {
    LatticePoint low = snapped_[cells_[c][0]];
    LatticePoint high = low;
    for (const std::size_t corner : cells_[c]) {
      low = {std::min(low.y, snapped_[corner].y), std::min(low.z, snapped_[corner].z)};
      high = {std::max(high.y, snapped_[corner].y), std::max(high.z, snapped_[corner].z)};
    }
    for (std::size_t z = bucket(low.z, span_.z); z <= bucket(high.z, span_.z); ++z) {
      for (std::size_t y = bucket(low.y, span_.y); y <= bucket(high.y, span_.y); ++y) {
        buckets_[z * side_ + y].push_back(c);
      }
    }
  }
}

bool LinearCells::holds(const DelaunayCell& cell, LatticePoint p) const {
  for (std::size_t i = 0; i < cell.size(); ++i) {
    if (turn(snapped_[cell[i]], snapped_[cell[(i + 1) % cell.size()]], p) < 0) {
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
    const std::array<Corner, 3> part{centre, corner(i), corner((i + 1) % cell.size())};
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
    for (const std::size_t c : buckets_[bucket(p.z, span_.z) * side_ + bucket(p.y, span_.y)]) {
      if (holds(cells_[c], p)) {
        return value_in(cells_[c], wanted);
      }
    }
  }
  return std::numeric_limits<double>::quiet_NaN();
}

}  // namespace sweepflux
