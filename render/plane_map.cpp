#include "render/plane_map.hpp"

#include "render/number_text.hpp"
#include "render/text_size.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace sweepflux::render {
namespace {

constexpr double canvas_width = 680.0;
constexpr double most_height = 520.0;
constexpr double bar_width = 16.0;
constexpr double bar_gap = 22.0;
constexpr double lowest_upright_bar = 150.0;

HeatScale scale_of(const PlaneMapInput& input) {
  if (input.scale) {
    return *input.scale;
  }
  return make_scale(input.palette, supported_range(input.field).value_or(Range{}));
}

/// A stroke on a map: light under dark, so that it shows on any colour.
void cased_line(Canvas& canvas,
                const std::vector<std::vector<Point>>& lines,
                const Stroke& stroke) {
  Path casing;
  casing.lines = lines;
  casing.stroke = {fixed({255, 255, 255}, 0.85), stroke.width + 2.2, {}};
  Path core;
  core.lines = lines;
  core.stroke = stroke;
  canvas.items.emplace_back(std::move(casing));
  canvas.items.emplace_back(std::move(core));
}

const Colour mark_colour = to_srgb({0.18, 0.02, 260.0});

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

void draw_outlet(Canvas& canvas, const Panel& panel, const OutletOutline& outlet) {
  cased_line(canvas, {outline_points(panel, outlet)}, {fixed(mark_colour), 1.5, {6.0, 4.0}});
}

void draw_cross(Canvas& canvas, Point at) {
  constexpr double arm = 8.0;
  cased_line(canvas,
             {{{at.x - arm, at.y}, {at.x + arm, at.y}}, {{at.x, at.y - arm}, {at.x, at.y + arm}}},
             {fixed(mark_colour), 1.8, {}});
}

std::string told(const ReadingDot& dot) {
  std::string text =
      "y " + fixed_text(dot.at.y_m, 3) + " m, z " + fixed_text(dot.at.z_m, 3) + " m: ";
  switch (dot.kind) {
    case ReadingDot::Kind::measured:
      text += number_text(dot.speed_m_s) + " m/s";
      break;
    case ReadingDot::Kind::below_start:
      text += "under the probe's starting speed";
      break;
    case ReadingDot::Kind::over_range:
      text += "over the probe's range";
      break;
  }
  return text;
}

void draw_over_range(Canvas& canvas, Point at, const std::string& hover) {
  canvas.polygon({{at.x, at.y - 5.5}, {at.x + 5.0, at.y + 3.5}, {at.x - 5.0, at.y + 3.5}},
                 fixed({255, 255, 255}),
                 {fixed(mark_colour), 1.6, {}},
                 hover);
}

void draw_readings(Canvas& canvas,
                   const Panel& panel,
                   const PlaneMapInput& input,
                   const HeatScale& scale) {
  // Dots of a dense sweep shrink before they run together.
  double length = 0.0;
  for (std::size_t i = 1; i < input.readings.size(); ++i) {
    length = std::max(length, std::fabs(input.readings[i].at.y_m - input.readings[i - 1].at.y_m));
  }
  constexpr double radius = 1.25;
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
    switch (dot.kind) {
      case ReadingDot::Kind::measured:
        canvas.dot(at, radius, paint, {}, told(dot));
        break;
      case ReadingDot::Kind::below_start:
        canvas.dot(at, 1.9, fixed({255, 255, 255}, 0.8), {paint, 0.9, {}}, told(dot));
        break;
      case ReadingDot::Kind::over_range:
        draw_over_range(canvas, at, told(dot));
        break;
    }
  }
}

struct Layout {
  Panel panel;
  Box bar;
  double bottom = 0.0;  ///< of axes and bar
};

Layout lay_out(const PlaneMapInput& input, const HeatScale& scale, double top) {
  const Range across = input.field.across_range();
  const Range up = input.field.up_range();
  Layout layout;
  Axis y = exact_axis(up, 6, "height z [m]");
  const double left = page_margin + y_label_room(y);
  const double bar_room =
      bar_gap + bar_width +
      std::max(bar_label_room(scale, true), text_width(input.value_title, plain_text) - bar_width);
  const double room = canvas_width - page_margin - left - bar_room;
  const double per_metre = std::min(room / across.width(), most_height / up.width());
  const double width = std::max(per_metre * across.width(), 1.0);
  const double height = std::max(per_metre * up.width(), 1.0);
  Axis x = exact_axis(across, std::clamp(static_cast<int>(width / 70.0), 2, 9), "across y [m]");
  y = exact_axis(up, std::clamp(static_cast<int>(height / 45.0), 2, 9), "height z [m]");
  const double box_top = top + y_title_room;
  const double title_end = left - y_label_room(y) + text_width(y.title, plain_text);
  layout.panel = {{left, box_top, left + width, box_top + height}, std::move(x), std::move(y)};
  const double under_axes = layout.panel.box.bottom + x_label_room(layout.panel.x);
  if (height >= lowest_upright_bar) {
    const double bar_left = std::max(layout.panel.box.right + bar_gap, title_end + bar_gap);
    layout.bar = {bar_left, box_top, bar_left + bar_width, box_top + height};
    layout.bottom = under_axes;
  } else {
    const double bar_top = under_axes + 26.0;
    layout.bar = {left, bar_top, left + std::max(width, 260.0), bar_top + bar_width};
    layout.bottom = layout.bar.bottom + bar_label_room(scale, false) + 4.0;
  }
  return layout;
}

bool holds(const PlaneMapInput& input, ReadingDot::Kind kind) {
  return std::any_of(input.readings.begin(), input.readings.end(), [kind](const ReadingDot& dot) {
    return dot.kind == kind;
  });
}

std::vector<LegendEntry> legend_of(const PlaneMapInput& input,
                                   const HeatContent& content,
                                   const HeatScale& scale) {
  std::vector<LegendEntry> entries;
  const auto middle = [](const Box& box) {
    return Point{0.5 * (box.left + box.right), 0.5 * (box.top + box.bottom)};
  };
  if (holds(input, ReadingDot::Kind::measured)) {
    entries.push_back({[middle](Canvas& canvas, const Box& box) {
                         for (const double dx : {-7.0, 0.0, 7.0}) {
                           canvas.dot({middle(box).x + dx, middle(box).y}, 1.6, ink());
                         }
                       },
                       "readings"});
  }
  if (holds(input, ReadingDot::Kind::below_start)) {
    entries.push_back(
        {[middle](Canvas& canvas, const Box& box) {
           for (const double dx : {-7.0, 0.0, 7.0}) {
             canvas.dot({middle(box).x + dx, middle(box).y}, 2.2, paper(), {ink(), 1.1, {}});
           }
         },
         "under starting speed"});
  }
  if (holds(input, ReadingDot::Kind::over_range)) {
    entries.push_back(
        {[middle](Canvas& canvas, const Box& box) { draw_over_range(canvas, middle(box), {}); },
         "over the probe's range"});
  }
  if (input.outlet) {
    entries.push_back({[middle](Canvas& canvas, const Box& box) {
                         canvas.line({box.left, middle(box).y},
                                     {box.right, middle(box).y},
                                     {ink(), 1.6, {6.0, 4.0}});
                       },
                       "outlet"});
  }
  if (input.centre) {
    entries.push_back({[middle](Canvas& canvas, const Box& box) {
                         const Point c = middle(box);
                         canvas.line({c.x - 7.0, c.y}, {c.x + 7.0, c.y}, {ink(), 1.8, {}});
                         canvas.line({c.x, c.y - 7.0}, {c.x, c.y + 7.0}, {ink(), 1.8, {}});
                       },
                       "centre of the stream"});
  }
  for (LegendEntry& entry : heat_legend(content, scale)) {
    entries.push_back(std::move(entry));
  }
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
  const HeatScale scale = scale_of(input);
  Canvas canvas;
  canvas.width = canvas_width;
  canvas.description = describe(input, scale);
  const double top = draw_heading(canvas, input.title, input.subtitle);
  const Layout layout = lay_out(input, scale, top);
  const Panel& panel = layout.panel;
  std::vector<Box> quiet;
  if (input.centre) {
    const Point c = panel.at(input.centre->y_m, input.centre->z_m);
    quiet.push_back(Box{c.x, c.y, c.x, c.y}.grown(12.0));
  }
  for (const ReadingDot& dot : input.readings) {
    const Point p = panel.at(dot.at.y_m, dot.at.z_m);
    quiet.push_back(Box{p.x, p.y, p.x, p.y}.grown(1.0));
  }
  const HeatContent content = draw_heat(canvas, panel, input.field, scale, input.floor_m, quiet);
  canvas.items.emplace_back(ClipBegin{panel.box});
  if (input.outlet) {
    draw_outlet(canvas, panel, *input.outlet);
  }
  draw_readings(canvas, panel, input, scale);
  if (input.centre) {
    draw_cross(canvas, panel.at(input.centre->y_m, input.centre->z_m));
  }
  canvas.items.emplace_back(ClipEnd{});
  draw_axes(canvas, panel, {.grid = false, .frame = true});
  draw_colour_bar(canvas, layout.bar, scale, input.value_title, content.beyond);
  double y = layout.bottom + 12.0;
  const double width = canvas_width - 2.0 * page_margin;
  y = draw_legend(canvas, legend_of(input, content, scale), {page_margin, y}, width);
  y = draw_paragraphs(
      canvas, {join_facts(input.facts), input.remark}, {page_margin, y + 4.0}, width);
  canvas.height = std::ceil(y + page_margin - 4.0);
  return canvas;
}

}  // namespace sweepflux::render
