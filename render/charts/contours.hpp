#pragma once

#include "render/charts/grid_field.hpp"

#include <vector>

namespace sweepflux::render {

/// One unbroken line along which a field has one value, in the field's own coordinates.
struct Contour {
  struct Vertex {
    double across = 0.0;
    double up = 0.0;
  };
  std::vector<Vertex> points;
  bool closed = false;
};

/// Lines of one level by marching squares: straight between the crossings of the grid's edges,
/// saddles split by the mean of their corners. Where a corner is not finite, or its support is
/// below `support_wanted`, there is no line.
///
/// @return longest first
[[nodiscard]] std::vector<Contour> trace_contours(const GridField& field,
                                                  double level,
                                                  double support_wanted = 0.0);

}  // namespace sweepflux::render
