#pragma once

#include "render/canvas/canvas.hpp"

#include <span>
#include <string>
#include <vector>

namespace sweepflux::render {

/// From where to where a quantity runs.
struct Range {
  double low = 0.0;
  double high = 0.0;

  [[nodiscard]] double width() const { return high - low; }
  [[nodiscard]] bool contains(double value) const { return value >= low && value <= high; }
};

/// One direction of a chart: what lies on it, and where its labels stand.
struct Axis {
  Range range;
  bool logarithmic = false;
  std::vector<double> ticks;
  std::vector<std::string> labels;  ///< one a tick; empty: a tick without words
  std::string title;                ///< with its unit: "speed [m/s]"
  bool upright = false;             ///< labels of a horizontal axis turned, for names side by side

  /// 0 at the low end, 1 at the high end; not clamped.
  [[nodiscard]] double share(double value) const;
};

/// The step 1, 2 or 5 times a power of ten that cuts `width` into at most `most` parts.
[[nodiscard]] double nice_step(double width, int most);

/// An axis that runs exactly over `range`, ticks at multiples of a nice step.
[[nodiscard]] Axis exact_axis(Range range, int most_ticks, std::string title);

/// An axis whose ends are widened to ticks. A range without width gets one.
[[nodiscard]] Axis rounded_axis(Range range, int most_ticks, std::string title);

/// An axis from zero to a rounded end. Values below zero only make it a little longer.
[[nodiscard]] Axis axis_from_zero(Range range, int most_ticks, std::string title);

/// A logarithmic axis whose ends are widened to 1, 2 or 5 times a power of ten.
/// @throws InputError  range.low <= 0
[[nodiscard]] Axis logarithmic_axis(Range range, std::string title);

/// The finite values' range; nothing finite gives 0 to 0.
[[nodiscard]] Range range_of(std::span<const double> values);
[[nodiscard]] Range join(Range a, Range b);

/// A rectangle with two axes.
struct Panel {
  Box box;
  Axis x;
  Axis y;

  [[nodiscard]] double px(double value) const { return box.left + x.share(value) * box.width(); }
  [[nodiscard]] double py(double value) const { return box.bottom - y.share(value) * box.height(); }
  [[nodiscard]] Point at(double x_value, double y_value) const {
    return {px(x_value), py(y_value)};
  }
};

struct AxesLook {
  bool x_labels = true;  ///< false: the panel below has them
  bool frame = false;    ///< all four sides
};

/// Room that the labels need: left of the box (y) and under it (x).
[[nodiscard]] double y_label_room(const Axis& y);
[[nodiscard]] double x_label_room(const Axis& x);
/// Room above the box for the title of the y axis, which stands level, over the axis.
inline constexpr double y_title_room = 24.0;

/// Grid lines and, for `draw_axes`, axis lines, ticks, labels and titles. Labels that would touch
/// the one before are left out.
void draw_grid(Canvas& canvas, const Panel& panel);
void draw_axes(Canvas& canvas, const Panel& panel, const AxesLook& look = {});

}  // namespace sweepflux::render
