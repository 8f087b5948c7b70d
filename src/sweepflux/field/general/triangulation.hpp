#pragma once

#include "sweepflux/base/geometry.hpp"

#include <cstddef>
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

}  // namespace sweepflux
