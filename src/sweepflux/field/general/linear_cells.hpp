#pragma once

#include "sweepflux/field/general/interpolants.hpp"
#include "sweepflux/field/general/scattered.hpp"
#include "sweepflux/field/general/triangulation.hpp"

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace sweepflux {

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
  LatticePoint span_;               // of the places, from (0, 0)
  std::size_t side_ = 1;            // buckets along each side of the places' bounding box
  std::vector<std::size_t> first_;  // of a bucket's cells in `listed_`
  std::vector<std::size_t> listed_;
};

}  // namespace sweepflux
