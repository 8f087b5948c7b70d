#include "sweepflux/base/error.hpp"
#include "sweepflux/field/general/linear_cells.hpp"
#include "sweepflux/field/general/scattered.hpp"
#include "tests/support/dice.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <utility>

namespace sweepflux {
namespace {

std::vector<PlanePoint> scattered_corners(unsigned seed, std::size_t count) {
  test::Dice dice(seed);
  std::vector<PlanePoint> at;
  for (std::size_t i = 0; i < count; ++i) {
    const double y = dice.uniform(-1.0, 1.0);
    at.push_back({y, dice.uniform()});
  }
  return at;
}

std::vector<PlanePoint> grid(int ny, int nz, double step) {
  std::vector<PlanePoint> at;
  const int middle = ny / 2;
  for (int k = 0; k < nz; ++k) {
    for (int i = 0; i < ny; ++i) {
      at.push_back({step * (i - middle), step * k});
    }
  }
  return at;
}

double area(const std::vector<PlanePoint>& at, const DelaunayCell& cell) {
  double twice = 0.0;
  for (std::size_t i = 1; i + 1 < cell.size(); ++i) {
    const PlanePoint a = at[cell[0]];
    const PlanePoint b = at[cell[i]];
    const PlanePoint c = at[cell[i + 1]];
    twice += (b.y_m - a.y_m) * (c.z_m - a.z_m) - (b.z_m - a.z_m) * (c.y_m - a.y_m);
  }
  return 0.5 * twice;
}

/// Area of the convex hull, by another way round: gift wrapping.
double hull_area(const std::vector<PlanePoint>& at) {
  std::size_t start = 0;
  for (std::size_t i = 1; i < at.size(); ++i) {
    if (std::pair(at[i].y_m, at[i].z_m) < std::pair(at[start].y_m, at[start].z_m)) {
      start = i;
    }
  }
  std::vector<std::size_t> hull{start};
  for (;;) {
    std::size_t next = hull.back() == 0 ? 1 : 0;
    for (std::size_t i = 0; i < at.size(); ++i) {
      const PlanePoint o = at[hull.back()];
      const double side = (at[next].y_m - o.y_m) * (at[i].z_m - o.z_m) -
                          (at[next].z_m - o.z_m) * (at[i].y_m - o.y_m);
      const double far_i = std::hypot(at[i].y_m - o.y_m, at[i].z_m - o.z_m);
      const double far_next = std::hypot(at[next].y_m - o.y_m, at[next].z_m - o.z_m);
      if (side < 0.0 || (side == 0.0 && far_i > far_next)) {
        next = i;
      }
    }
    if (next == start) {
      return area(at, hull);
    }
    hull.push_back(next);
  }
}

void expect_sound(const std::vector<PlanePoint>& at) {
  const std::vector<DelaunayCell> cells = delaunay_cells(at);
  const Lattice lattice(at);
  std::vector<LatticePoint> snapped;
  for (const PlanePoint& p : at) {
    snapped.push_back(lattice.snap(p));
  }
  double total = 0.0;
  std::set<std::size_t> used;
  std::map<std::pair<std::size_t, std::size_t>, int> edges;
  for (const DelaunayCell& cell : cells) {
    ASSERT_GE(cell.size(), 3U);
    total += area(at, cell);
    for (std::size_t i = 0; i < cell.size(); ++i) {
      used.insert(cell[i]);
      ++edges[{cell[i], cell[(i + 1) % cell.size()]}];
    }
    for (std::size_t p = 0; p < at.size(); ++p) {  // the empty circle, exactly
      const int side = in_circle(snapped[cell[0]], snapped[cell[1]], snapped[cell[2]], snapped[p]);
      const bool corner = std::find(cell.begin(), cell.end(), p) != cell.end();
      ASSERT_EQ(side, corner ? 0 : -1);
    }
  }
  EXPECT_EQ(used.size(), at.size());
  for (const auto& [edge, count] : edges) {
    EXPECT_EQ(count, 1);
  }
  EXPECT_NEAR(total, hull_area(at), 1e-12);
}

TEST(Triangulation, HasEmptyCirclesAndCoversTheHull) {
  for (unsigned seed = 1; seed <= 12; ++seed) {
    expect_sound(scattered_corners(seed, 3 + 17 * seed));
  }
}

TEST(Triangulation, KeepsTheRectanglesOfAGridWhole) {
  const std::vector<PlanePoint> at = grid(9, 6, 0.1);
  expect_sound(at);
  const std::vector<DelaunayCell> cells = delaunay_cells(at);
  EXPECT_EQ(cells.size(), 40U);
  for (const DelaunayCell& cell : cells) {
    EXPECT_EQ(cell.size(), 4U);
  }
}

TEST(Triangulation, TakesRowsOfWhichEveryOtherIsShifted) {
  std::vector<PlanePoint> at = grid(9, 6, 0.1);
  for (std::size_t i = 0; i < at.size(); ++i) {
    at[i].y_m += (i / 9) % 2 == 1 ? 0.05 : 0.0;
  }
  expect_sound(at);
}

TEST(Triangulation, TakesPointsOnOneCircle) {
  // Whole numbers on the circle of radius 65: all in one cell.
  std::vector<PlanePoint> at;
  for (int y = -65; y <= 65; ++y) {
    for (int z = -65; z <= 65; ++z) {
      if (y * y + z * z == 65 * 65) {
        at.push_back({0.01 * y, 0.01 * z});
      }
    }
  }
  ASSERT_EQ(at.size(), 36U);
  const std::vector<DelaunayCell> cells = delaunay_cells(at);
  ASSERT_EQ(cells.size(), 1U);
  EXPECT_EQ(cells[0].size(), 36U);
}

TEST(Triangulation, TakesLongRowsWithFewHeights) {
  test::Dice dice(3);
  std::vector<PlanePoint> at;
  for (int k = 0; k < 4; ++k) {
    for (int i = 0; i < 40; ++i) {
      at.push_back({-1.0 + 0.05 * i + 0.002 * static_cast<double>(dice.any() % 10), 0.3 + 0.2 * k});
    }
  }
  expect_sound(at);
}

TEST(Triangulation, TakesAFanOfRaysThroughOnePoint) {
  std::vector<PlanePoint> at{{0.0, 0.0}};
  for (int ray = 0; ray < 8; ++ray) {
    for (int k = 1; k <= 4; ++k) {
      const double angle = 0.7853981633974483 * ray;
      at.push_back({0.1 * k * std::cos(angle), 0.1 * k * std::sin(angle)});
    }
  }
  EXPECT_NEAR(hull_area(at), 8 * 0.5 * 0.16 * std::sin(0.7853981633974483), 1e-12);
  double total = 0.0;
  for (const DelaunayCell& cell : delaunay_cells(at)) {
    total += area(at, cell);
  }
  EXPECT_NEAR(total, hull_area(at), 1e-9);
}

TEST(Triangulation, ListsTheSameCellsForAnyOrderOfPlaces) {
  std::vector<PlanePoint> at = grid(7, 5, 0.1);
  const std::vector<PlanePoint> more = scattered_corners(5, 30);
  at.insert(at.end(), more.begin(), more.end());
  std::vector<PlanePoint> reversed(at.rbegin(), at.rend());
  std::vector<DelaunayCell> cells = delaunay_cells(reversed);
  for (DelaunayCell& cell : cells) {
    for (std::size_t& corner : cell) {
      corner = at.size() - 1 - corner;
    }
  }
  EXPECT_EQ(cells, delaunay_cells(at));
}

TEST(Triangulation, RefusesOneLineAndEqualPlaces) {
  EXPECT_THROW((void)delaunay_cells(grid(9, 1, 0.1)), NumericalError);
  const std::vector<PlanePoint> twice{{0, 0}, {1, 0}, {0, 1}, {1, 0}};
  EXPECT_THROW((void)delaunay_cells(twice), InputError);
  EXPECT_THROW((void)delaunay_cells({}), NumericalError);
}

TEST(LinearCells, MeetsAPlaneFieldEverywhereInTheHull) {
  for (unsigned seed = 1; seed <= 5; ++seed) {
    ScatteredValues v;
    v.at = scattered_corners(seed, 60);
    const std::vector<PlanePoint> regular = grid(9, 9, 0.1);
    v.at.insert(v.at.end(), regular.begin(), regular.end());
    for (const PlanePoint& p : v.at) {
      v.value.push_back(2.0 + 1.5 * p.y_m - p.z_m);
    }
    const LinearCells cells(v);
    for (const PlanePoint& p : scattered_corners(seed + 100, 300)) {
      const double u = cells.at(p);
      if (std::isfinite(u)) {
        EXPECT_NEAR(u, 2.0 + 1.5 * p.y_m - p.z_m, 1e-9);
      }
    }
  }
}

TEST(LinearCells, MirrorsWithItsPlaces) {
  test::Dice dice(11);
  ScatteredValues v;
  v.at = grid(9, 6, 0.1);
  for (std::size_t i = 0; i < v.at.size(); ++i) {
    v.value.push_back(dice.uniform());
  }
  ScatteredValues mirrored = v;
  for (PlanePoint& p : mirrored.at) {
    p.y_m = -p.y_m;
  }
  const LinearCells one(v);
  const LinearCells other(mirrored);
  for (const PlanePoint& p : scattered_corners(21, 200)) {
    const PlanePoint inside{0.35 * p.y_m, 0.5 * p.z_m};
    EXPECT_NEAR(one.at(inside), other.at({-inside.y_m, inside.z_m}), 1e-12);
  }
}

TEST(LinearCells, HasValuesOnTheHullItselfAndNoneBeyond) {
  ScatteredValues v;
  v.at = grid(5, 4, 0.1);
  v.value.assign(v.at.size(), 1.0);
  const LinearCells cells(v);
  for (const PlanePoint& p : v.at) {
    EXPECT_EQ(cells.at(p), 1.0);
  }
  EXPECT_EQ(cells.at({0.2, 0.15}), 1.0);
  EXPECT_EQ(cells.at({-0.2, 0.0371}), 1.0);
  EXPECT_TRUE(std::isnan(cells.at({0.2001, 0.15})));
  EXPECT_TRUE(std::isnan(cells.at({0.0, -1e-6})));
  EXPECT_TRUE(std::isnan(cells.at({1e9, 0.1})));
}

TEST(LinearCells, DoesNotChangeWithTheUnitOfLength) {
  ScatteredValues v;
  v.at = scattered_corners(4, 50);
  test::Dice dice(13);
  for (std::size_t i = 0; i < v.at.size(); ++i) {
    v.value.push_back(dice.uniform());
  }
  for (const double scale : {1e-4, 1e4}) {
    ScatteredValues scaled = v;
    for (PlanePoint& p : scaled.at) {
      p = {scale * p.y_m, scale * p.z_m};
    }
    const LinearCells one(v);
    const LinearCells other(scaled);
    for (const PlanePoint& p : scattered_corners(31, 100)) {
      const PlanePoint inside{0.5 * p.y_m, 0.25 + 0.5 * p.z_m};
      EXPECT_NEAR(one.at(inside), other.at({scale * inside.y_m, scale * inside.z_m}), 1e-9);
    }
  }
}

}  // namespace
}  // namespace sweepflux
