#pragma once

#include "render/canvas/axes.hpp"

#include <cstddef>
#include <vector>

namespace sweepflux::render {

/// Values on a regular upright grid. Row-major from the lowest row: index = row * columns + column;
/// the value with index 0 stands at (across_min, up_min).
struct GridField {
  double across_min = 0.0;
  double up_min = 0.0;
  double across_step = 1.0;
  double up_step = 1.0;
  std::size_t columns = 0;
  std::size_t rows = 0;
  std::vector<double> values;   ///< not-a-number: not measured; infinity: over the probe's range
  std::vector<double> support;  ///< 0 (nothing measured nearby) to 1; empty: 1 everywhere

  [[nodiscard]] double value(std::size_t column, std::size_t row) const {
    return values[row * columns + column];
  }
  [[nodiscard]] double support_at(std::size_t column, std::size_t row) const {
    return support.empty() ? 1.0 : support[row * columns + column];
  }
  [[nodiscard]] double across(double column) const { return across_min + column * across_step; }
  [[nodiscard]] double up(double row) const { return up_min + row * up_step; }
  /// The cells' outer edges: half a step beyond the outermost values.
  [[nodiscard]] Range across_range() const {
    return {across(-0.5), across(static_cast<double>(columns) - 0.5)};
  }
  [[nodiscard]] Range up_range() const { return {up(-0.5), up(static_cast<double>(rows) - 0.5)}; }
};

/// A cell with less support than this counts as not supported by any sweep.
inline constexpr double least_support = 0.5;

/// @throws InputError  a size that does not fit, no values, or a step that is not > 0
void check(const GridField& field);

/// Value and support anywhere, bilinear; beside a value that is not finite, the nearest value.
struct FieldValue {
  double value = 0.0;
  double support = 0.0;
};
[[nodiscard]] FieldValue look_up(const GridField& field, double across, double up);

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
