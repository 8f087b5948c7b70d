#pragma once

#include "sweepflux/field/general/interpolants.hpp"
#include "sweepflux/field/general/scattered.hpp"

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace sweepflux {

/// One Delaunay cell: corners counter-clockwise (seen with y to the right, z up), indices of the
/// places. Three corners as a rule; more where four or more places lie on one empty circle.
using DelaunayCell = std::vector<std::size_t>;

/// The Delaunay cells of places in a plane: an edge-flip-free divide and conquer [Guibas 1985],
/// on a lattice where every test is exact, so that places in rows and on grids, the normal case
/// here, need no luck. Places on one empty circle stay one cell: no diagonal is picked by chance,
/// so the cells depend on the places alone, not on their order nor on which way is up.
///
/// @param at  no two on one lattice point (see merged())
/// @return    cells that cover the convex hull without overlap; sorted by their least corners
/// @throws InputError      not finite, or two places equal
/// @throws NumericalError  all in one line
///
/// Cost: O(N log N).
[[nodiscard]] std::vector<DelaunayCell> delaunay_cells(std::span<const PlanePoint> at);

/// Linear interpolation on Delaunay cells. In a cell with more than three corners (all on one
/// circle, such as a rectangle of a grid) a corner more is put at their mean place, with their
/// mean value, and the cell is a fan around it: no diagonal is preferred, plane fields are still
/// met exactly, and the integral over a rectangle is the trapezoid rule's.
///
/// Never above the largest nor below the least value. Outside the convex hull there is no value.
class LinearCells {
 public:
  /// @param values  merged(); noise_sd is not used: values are met exactly
  /// @throws InputError, NumericalError  as delaunay_cells()
  explicit LinearCells(ScatteredValues values);

  /// @return not-a-number outside the hull
  [[nodiscard]] double at(PlanePoint wanted) const;

  [[nodiscard]] const std::vector<DelaunayCell>& cells() const { return cells_; }

 private:
  [[nodiscard]] bool holds(const DelaunayCell& cell, LatticePoint p) const;
  [[nodiscard]] double value_in(const DelaunayCell& cell, PlanePoint p) const;
  [[nodiscard]] std::size_t bucket(std::int64_t number, std::int64_t span) const;
  void fill_buckets();

  ScatteredValues values_;
  Lattice lattice_;
  std::vector<LatticePoint> snapped_;
  std::vector<DelaunayCell> cells_;
  LatticePoint span_;     // of the places, from (0, 0)
  std::size_t side_ = 1;  // buckets along each side of the places' bounding box
  std::vector<std::vector<std::size_t>> buckets_;  // of cells
};

}  // namespace sweepflux
