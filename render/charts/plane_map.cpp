#include "render/charts/plane_map.hpp"

#include "render/canvas/text.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace sweepflux::render {
namespace {

std::vector<Point> outline_points(const Panel& panel, const OutletOutline& outlet) {
  const double w = outlet.half_width_m;
  const double h = outlet.half_height_m;
  const PlanePoint c = outlet.centre;
  if (!outlet.round) {
    return {panel.at(c.y_m - w, c.z_m - h),
            panel.at(c.y_m + w, c.z_m - h),
            panel.at(c.y_m + w, c.z_m + h),
            panel.at(c.y_m - w, c.z_m + h),
            panel.at(c.y_m - w, c.z_m - h)};
  }
  std::vector<Point> points;
  constexpr int corners = 96;
  for (int i = 0; i <= corners; ++i) {
    const double angle = 2.0 * std::numbers::pi * i / corners;
    points.push_back(panel.at(c.y_m + w * std::cos(angle), c.z_m + h * std::sin(angle)));
  }
  return points;
}

/// Open in the middle, so that a dip at the hub is seen through it.
std::vector<std::vector<Point>> cross_lines(Point at, double size = 1.0) {
  const double open = 6.0 * size;
  const double arm = 12.0 * size;
  std::vector<std::vector<Point>> lines;
  for (const auto& [x, y] : {Point{1, 0}, Point{-1, 0}, Point{0, 1}, Point{0, -1}}) {
    lines.push_back({{at.x + open * x, at.y + open * y}, {at.x + arm * x, at.y + arm * y}});
  }
  return lines;
}

std::string hover_of(const ReadingDot& dot) {
  return "y " + fixed_text(dot.at.y_m, 3) + " m, z " + fixed_text(dot.at.z_m, 3) + " m: " +
         (dot.below_start ? "under the probe's starting speed"
                          : number_text(dot.speed_m_s) + " m/s");
}

/// Dots of a dense sweep shrink before they run together.
double dot_radius(const Panel& panel, const std::vector<ReadingDot>& readings) {
  std::vector<double> apart;
  for (std::size_t i = 1; i < readings.size(); ++i) {
    const Point a = panel.at(readings[i - 1].at.y_m, readings[i - 1].at.z_m);
    const Point b = panel.at(readings[i].at.y_m, readings[i].at.z_m);
    apart.push_back(std::hypot(a.x - b.x, a.y - b.y));
  }
  if (apart.empty()) {
    return 1.5;
  }
  const auto middle = apart.begin() + static_cast<std::ptrdiff_t>(apart.size() / 2);
  std::nth_element(apart.begin(), middle, apart.end());
  return std::clamp(0.25 * *middle, 0.5, 1.4);
}

void draw_readings(Canvas& canvas,
                   const Panel& panel,
                   const PlaneMapInput& input,
                   const HeatScale& scale) {
  const double radius = dot_radius(panel, input.readings);
  for (const ReadingDot& dot : input.readings) {
    const Point at = panel.at(dot.at.y_m, dot.at.z_m);
    if (!panel.box.contains(at)) {
      continue;
    }
    const FieldValue beneath = look_up(input.field, dot.at.y_m, dot.at.z_m);
    const Colour ground = std::isfinite(beneath.value) && beneath.support >= least_support
                              ? scale.colour(beneath.value)
                              : Colour{255, 255, 255};
    const Paint paint = fixed(readable_on(ground), 0.85);
    if (dot.below_start) {
      canvas.dot(
          at, 1.3 * radius, fixed({255, 255, 255}, 0.9), {paint, 0.45 * radius, {}}, hover_of(dot));
    } else {
      canvas.dot(at, radius, paint, {}, hover_of(dot));
    }
  }
}

bool holds(const PlaneMapInput& input, bool below_start) {
  return std::any_of(input.readings.begin(), input.readings.end(), [&](const ReadingDot& dot) {
    return dot.below_start == below_start;
  });
}

std::vector<LegendEntry> legend_of(const PlaneMapInput& input,
                                   const HeatContent& content,
                                   const HeatScale& scale) {
  std::vector<LegendEntry> entries;
  if (holds(input, false)) {
    entries.push_back(
        marks_entry([](Canvas& canvas, Point at) { canvas.dot(at, 1.6, ink()); }, "readings"));
  }
  if (holds(input, true)) {
    entries.push_back(marks_entry(
        [](Canvas& canvas, Point at) {
          canvas.dot(at, 2.2, paper(), {ink(), 1.1, {}});
        },
        "under starting speed"));
  }
  if (input.outlet) {
    entries.push_back(line_entry({ink(), {6.0, 4.0}, Marker::disc}, 1.6, "outlet"));
  }
  if (input.centre) {
    entries.push_back({[](Canvas& canvas, const Box& box) {
                         for (const auto& arm : cross_lines(middle_of(box), 0.65)) {
                           canvas.polyline(arm, {ink(), 1.6, {}});
                         }
                       },
                       "centre of the stream"});
  }
  add_heat_legend(entries, content, scale);
  return entries;
}

std::string describe(const PlaneMapInput& input, const HeatScale& scale) {
  std::string text = input.value_title + " on a plane across the stream, seen facing the fan. ";
  const Range across = input.field.across_range();
  const Range up = input.field.up_range();
  text += "y from " + number_text(across.low) + " to " + number_text(across.high) + " m, z from " +
          number_text(up.low) + " to " + number_text(up.high) + " m. ";
  if (const std::optional<Range> range = supported_range(input.field)) {
    text += "Supported values from " + number_text(range->low) + " to " + number_text(range->high) +
            "; ";
  } else {
    text += "No value is supported by a sweep; ";
  }
  text += "colours from " + number_text(scale.range.low) + " to " + number_text(scale.range.high) +
          ". ";
  if (!input.facts.empty()) {
    text += join_facts(input.facts) + ". ";
  }
  return text + input.remark;
}

}  // namespace

Canvas draw_plane_map(const PlaneMapInput& input) {
  check(input.field);
  const HeatScale scale =
      input.scale ? *input.scale
                  : make_scale(input.palette, supported_range(input.field).value_or(Range{}));
  Canvas canvas;
  const HeatWords words{"across y [m]", "height z [m]", input.value_title};
  HeatLayout layout = lay_out_heat(input.across.value_or(input.field.across_range()),
                                   input.up.value_or(input.field.up_range()),
                                   words,
                                   scale,
                                   input.width);
  canvas.width = layout.width;
  canvas.description = describe(input, scale);
  const double top = draw_heading(canvas, input) + y_title_room;
  layout.move_down(top);
  const Panel& panel = layout.panel;
  std::vector<Box> quiet;
  if (input.centre) {
    const Point c = panel.at(input.centre->y_m, input.centre->z_m);
    quiet.push_back(Box{c.x, c.y, c.x, c.y}.grown(14.0));
  }
  if (input.outlet) {
    keep_clear(quiet, {outline_points(panel, *input.outlet)});
  }
  for (const ReadingDot& dot : input.readings) {
    const Point p = panel.at(dot.at.y_m, dot.at.z_m);
    quiet.push_back(Box{p.x, p.y, p.x, p.y}.grown(1.0));
  }
  const HeatContent content = draw_heat(canvas, panel, input.field, scale, input.floor_m, quiet);
  if (input.outlet) {
    canvas.items.emplace_back(ClipBegin{panel.box});
    cased_line(
        canvas, {outline_points(panel, *input.outlet)}, {fixed(mark_colour()), 1.5, {6.0, 4.0}});
    canvas.items.emplace_back(ClipEnd{});
  }
  draw_axes(canvas, panel, {.frame = true});
  // Over the frame, which would cut marks at the edge.
  draw_readings(canvas, panel, input, scale);
  if (input.centre) {
    cased_line(canvas,
               cross_lines(panel.at(input.centre->y_m, input.centre->z_m)),
               {fixed(mark_colour()), 1.6, {}});
  }
  draw_colour_bar(canvas, layout.bar, scale, input.value_title, content.beyond);
  draw_foot(canvas,
            legend_of(input, content, scale),
            {join_facts(input.facts), input.remark},
            layout.bottom);
  return canvas;
}

}  // namespace sweepflux::render
