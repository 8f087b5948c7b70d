#include "render/plane_map.hpp"

#include "render/number_text.hpp"
#include "render/text_size.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace sweepflux::render {
namespace {

constexpr double widest_canvas = 680.0;
constexpr double narrowest_canvas = 460.0;
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
    switch (dot.kind) {
      case ReadingDot::Kind::measured:
        canvas.dot(at, radius, paint, {}, told(dot));
        break;
      case ReadingDot::Kind::below_start:
        canvas.dot(
            at, 1.3 * radius, fixed({255, 255, 255}, 0.9), {paint, 0.45 * radius, {}}, told(dot));
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
  double width = 0.0;   ///< of the canvas
  double bottom = 0.0;  ///< of axes and bar
};

/// Equal metres both ways, no wider than `room`.
Panel equal_panel(const PlaneMapInput& input, double room) {
  const Range across = input.field.across_range();
  const Range up = input.field.up_range();
  const double per_metre = std::min(room / across.width(), most_height / up.width());
  const double width = std::max(per_metre * across.width(), 1.0);
  const double height = std::max(per_metre * up.width(), 1.0);
  const auto ticks = [](double length) {
    return std::clamp(static_cast<int>(length / 55.0), 2, 9);
  };
  Panel panel{{0.0, 0.0, width, height},
              exact_axis(across, ticks(width), "across y [m]"),
              exact_axis(up, ticks(height), "height z [m]")};
  panel.box.left = page_margin + y_label_room(panel.y);
  panel.box.right += panel.box.left;
  return panel;
}

/// Places from a top of zero.
Layout lay_out(const PlaneMapInput& input, const HeatScale& scale) {
  const Axis finest = exact_axis(input.field.up_range(), 9, {});  // has the widest labels
  const double full_room = widest_canvas - 2.0 * page_margin - y_label_room(finest);
  const double bar_words =
      std::max(bar_width + bar_label_room(scale, true), text_width(input.value_title, plain_text));
  Layout layout;
  layout.panel = equal_panel(input, full_room - bar_gap - bar_words);
  if (layout.panel.box.height() >= lowest_upright_bar) {
    const Box& box = layout.panel.box;
    const double title_end = page_margin + text_width(layout.panel.y.title, plain_text);
    const double bar_left = std::max(box.right, title_end) + bar_gap;
    layout.bar = {bar_left, 0.0, bar_left + bar_width, box.bottom};
    layout.bottom = box.bottom + x_label_room(layout.panel.x);
    layout.width = std::max(narrowest_canvas, bar_left + bar_words + page_margin);
    return layout;
  }
  layout.panel = equal_panel(input, full_room);
  const double bar_top = layout.panel.box.bottom + x_label_room(layout.panel.x) + 30.0;
  const double bar_length = std::max(layout.panel.box.width(), 300.0) - 30.0;
  layout.bar = {page_margin + 20.0, bar_top, page_margin + 20.0 + bar_length, bar_top + bar_width};
  layout.bottom = layout.bar.bottom + bar_label_room(scale, false) + 4.0;
  layout.width = widest_canvas;
  return layout;
}

void move_down(Box& box, double by) {
  box.top += by;
  box.bottom += by;
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
  Layout layout = lay_out(input, scale);
  canvas.width = layout.width;
  canvas.description = describe(input, scale);
  const double top = draw_heading(canvas, input.title, input.subtitle) + y_title_room;
  move_down(layout.panel.box, top);
  move_down(layout.bar, top);
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
  double y = top + layout.bottom + 12.0;
  const double width = canvas.width - 2.0 * page_margin;
  y = draw_legend(canvas, legend_of(input, content, scale), {page_margin, y}, width);
  y = draw_paragraphs(
      canvas, {join_facts(input.facts), input.remark}, {page_margin, y + 4.0}, width);
  canvas.height = std::ceil(y + page_margin - 4.0);
  return canvas;
}

}  // namespace sweepflux::render
