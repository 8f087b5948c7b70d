#include "render/charts/stream_chart.hpp"

#include "render/canvas/text.hpp"
#include "render/charts/plot.hpp"
#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux::render {
namespace {

constexpr double panel_gap = 40.0;
constexpr int flow_style = 0;
constexpr int momentum_style = 1;
constexpr int thrust_style = 2;

PlotLine line_of(const StreamChartInput& input,
                 Estimate StreamPoint::*pick,
                 int style,
                 const char* unit) {
  PlotLine line{{}, style, 1.2, {}};
  for (const StreamPoint& point : input.points) {
    line.points.push_back(
        {point.distance_m,
         point.*pick,
         with_unit(number_text(point.distance_m), "m") + ": " + estimate_text(point.*pick, unit)});
  }
  return line;
}

std::string describe(const StreamChartInput& input, const std::vector<PlotLine>& lines) {
  std::string text = "Volume flow and momentum flux of the stream against distance. ";
  for (const PlotLine& line : lines) {
    for (const PlotPoint& p : line.points) {
      text += std::isfinite(p.y.value) ? "At " + p.hover + ". " : std::string();
    }
  }
  if (input.thrust_n) {
    text += "Thrust at the balance " + estimate_text(*input.thrust_n, "N") + ". ";
  }
  return text;
}

void draw_thrust(Canvas& canvas, const Box& box, double middle) {
  canvas.box(box, series(thrust_style, 0.25));
  canvas.line({box.left, middle}, {box.right, middle}, {series(thrust_style), 1.6, {}});
}

}  // namespace

Canvas draw_stream_chart(const StreamChartInput& input) {
  if (input.points.empty()) {
    throw InputError("a chart along the stream needs a plane at least");
  }
  const std::vector<PlotLine> flows{
      line_of(input, &StreamPoint::volume_flow_m3_s, flow_style, "m³/s")};
  const std::vector<PlotLine> momenta{
      line_of(input, &StreamPoint::momentum_flux_n, momentum_style, "N")};
  double farthest = 0.0;
  for (const StreamPoint& point : input.points) {
    farthest = std::max(farthest, point.distance_m);
  }
  Range forces = value_range(momenta);
  if (input.thrust_n) {
    forces = join(forces, {input.thrust_n->low_95, input.thrust_n->high_95});
  }
  Canvas canvas = canvas_for(input, describe(input, {flows.front(), momenta.front()}));
  const double panel_height = is_slim(input.width) ? 150.0 : 190.0;
  const double top = draw_heading(canvas, input) + y_title_room;
  const Range distances{0.0, farthest > 0.0 ? 1.08 * farthest : 1.0};
  const int ticks = static_cast<int>(input.width / 70.0);
  const auto from_zero = [](Range range, const char* title) {
    return axis_from_zero({range.low, 1.04 * range.high}, 5, title);
  };
  Panel flow{
      {}, exact_axis(distances, ticks, {}), from_zero(value_range(flows), "volume flow [m³/s]")};
  Panel momentum{
      {},
      exact_axis(distances, ticks, input.distance_title),
      from_zero(forces, input.thrust_n ? "momentum flux and thrust [N]" : "momentum flux [N]")};
  const double left = margin(canvas) + std::max(y_label_room(flow.y), y_label_room(momentum.y));
  const double right = canvas.width - margin(canvas) - 8.0;
  flow.box = {left, top, right, top + panel_height};
  const double second = flow.box.bottom + panel_gap;
  momentum.box = {left, second, right, second + panel_height};
  draw_grid(canvas, flow);
  draw_lines(canvas, flow, flows);
  draw_axes(canvas, flow, {.x_labels = false});
  draw_grid(canvas, momentum);
  std::vector<LegendEntry> legend{
      line_entry(line_style(flow_style), 1.2, "volume flow", true),
      line_entry(line_style(momentum_style), 1.2, "momentum flux of the stream", true),
      interval_entry("95 % interval")};
  if (input.thrust_n) {
    draw_thrust(
        canvas,
        {left, momentum.py(input.thrust_n->high_95), right, momentum.py(input.thrust_n->low_95)},
        momentum.py(input.thrust_n->value));
    legend.push_back({[](Canvas& to, const Box& box) { draw_thrust(to, box, middle_of(box).y); },
                      "thrust at the balance, 95 % interval"});
  }
  draw_lines(canvas, momentum, momenta);
  draw_axes(canvas, momentum);
  draw_foot(canvas, legend, {input.remark}, momentum.box.bottom + x_label_room(momentum.x));
  return canvas;
}

}  // namespace sweepflux::render
