#include "render/charts/stream_chart.hpp"

#include "render/canvas/axes.hpp"
#include "render/canvas/number_text.hpp"
#include "render/charts/chart.hpp"
#include "sweepflux/base/error.hpp"

#include <algorithm>

namespace sweepflux::render {
namespace {

constexpr double stream_chart_width = 640.0;
constexpr double stream_chart_panel_height = 190.0;
constexpr double stream_chart_panel_gap = 40.0;

using Pick = const Estimate& (*)(const StreamPoint&);
const Estimate& flow_of(const StreamPoint& point) { return point.volume_flow_m3_s; }
const Estimate& momentum_of(const StreamPoint& point) { return point.momentum_flux_n; }

Range value_range(const StreamChartInput& input, Pick pick, bool with_thrust) {
  Range range{0.0, 0.0};
  for (const StreamPoint& point : input.points) {
    const Estimate& e = pick(point);
    const std::vector<double> ends{e.value, e.low_95, e.high_95};
    range = join(range, range_of(ends));
  }
  if (with_thrust && input.thrust_n) {
    range = join(range, {input.thrust_n->low_95, input.thrust_n->high_95});
  }
  return {range.low, 1.04 * range.high};
}

void draw_points(Canvas& canvas,
                 const Panel& panel,
                 const StreamChartInput& input,
                 Pick pick,
                 int style,
                 const char* unit) {
  const LineStyle look = line_style(style);
  std::vector<Point> line;
  for (const StreamPoint& point : input.points) {
    line.push_back(panel.at(point.distance_m, pick(point).value));
  }
  canvas.polyline(line, {series(style, 0.6), 1.2, {}});
  for (const StreamPoint& point : input.points) {
    const Estimate& e = pick(point);
    draw_error_bar(canvas,
                   panel.at(point.distance_m, e.low_95),
                   panel.at(point.distance_m, e.high_95),
                   look.paint,
                   5.0);
    draw_marker(canvas,
                look.marker,
                panel.at(point.distance_m, e.value),
                9.0,
                look.paint,
                with_unit(number_text(point.distance_m), "m") + ": " + estimate_text(e, unit));
  }
}

std::vector<LegendEntry> legend_of(const StreamChartInput& input) {
  std::vector<LegendEntry> entries;
  const auto point_entry = [](int style, std::string words) {
    const LineStyle look = line_style(style);
    return LegendEntry{[look](Canvas& canvas, const Box& box) {
                         const Point c{0.5 * (box.left + box.right), 0.5 * (box.top + box.bottom)};
                         draw_error_bar(canvas, {c.x, box.bottom}, {c.x, box.top}, look.paint);
                         draw_marker(canvas, look.marker, c, 8.0, look.paint);
                       },
                       std::move(words)};
  };
  entries.push_back(point_entry(0, "volume flow"));
  entries.push_back(point_entry(1, "momentum of the stream"));
  if (input.thrust_n) {
    entries.push_back({[](Canvas& canvas, const Box& box) {
                         canvas.box(box, series(2, 0.25));
                         const double y = 0.5 * (box.top + box.bottom);
                         canvas.line({box.left, y}, {box.right, y}, {series(2), 1.6, {}});
                       },
                       "thrust at the balance, " + estimate_text(*input.thrust_n, "N")});
  }
  return entries;
}

std::string describe(const StreamChartInput& input) {
  std::string text = "Volume flow and momentum of the stream against distance. ";
  for (const StreamPoint& point : input.points) {
    text += "At " + number_text(point.distance_m) +
            " m: " + estimate_text(point.volume_flow_m3_s, "m³/s") + ", " +
            estimate_text(point.momentum_flux_n, "N") + ". ";
  }
  if (input.thrust_n) {
    text += "Thrust at the balance " + estimate_text(*input.thrust_n, "N") + ". ";
  }
  return text + input.remark;
}

}  // namespace

Canvas draw_stream_chart(const StreamChartInput& input) {
  if (input.points.empty()) {
    throw InputError("a chart along the stream needs a plane at least");
  }
  Canvas canvas;
  canvas.width = stream_chart_width;
  canvas.description = describe(input);
  double farthest = 0.0;
  for (const StreamPoint& point : input.points) {
    farthest = std::max(farthest, point.distance_m);
  }
  const Range distances{0.0, farthest > 0.0 ? 1.08 * farthest : 1.0};
  const double top = draw_heading(canvas, input.title, input.subtitle) + y_title_room;
  Panel flow{{},
             exact_axis(distances, 8, {}),
             axis_from_zero(value_range(input, flow_of, false), 7, "volume flow [m³/s]")};
  Panel momentum{{},
                 exact_axis(distances, 8, input.distance_title),
                 axis_from_zero(value_range(input, momentum_of, true), 7, "momentum [N]")};
  const double left = page_margin + std::max(y_label_room(flow.y), y_label_room(momentum.y));
  const double right = stream_chart_width - page_margin - 8.0;
  flow.box = {left, top, right, top + stream_chart_panel_height};
  momentum.box = {left,
                  flow.box.bottom + stream_chart_panel_gap,
                  right,
                  flow.box.bottom + stream_chart_panel_gap + stream_chart_panel_height};
  draw_grid(canvas, flow);
  draw_points(canvas, flow, input, flow_of, 0, "m³/s");
  draw_axes(canvas, flow, {.x_labels = false});
  draw_grid(canvas, momentum);
  if (input.thrust_n) {
    const double middle = momentum.py(input.thrust_n->value);
    canvas.box(
        {left, momentum.py(input.thrust_n->high_95), right, momentum.py(input.thrust_n->low_95)},
        series(2, 0.25));
    canvas.line({left, middle}, {right, middle}, {series(2), 1.6, {}});
  }
  draw_points(canvas, momentum, input, momentum_of, 1, "N");
  draw_axes(canvas, momentum);
  draw_foot(
      canvas, legend_of(input), {input.remark}, momentum.box.bottom + x_label_room(momentum.x));
  return canvas;
}

}  // namespace sweepflux::render
