#include "render/charts/heat_layout.hpp"

#include "render/canvas/text_size.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux::render {
namespace {

constexpr double narrowest_canvas = 470.0;
constexpr double bar_width = 16.0;
constexpr double bar_gap = 18.0;
constexpr double lowest_upright_bar = 150.0;

double margin_of(double width) {
  Canvas canvas;
  canvas.width = width;
  return margin(canvas);
}

Panel equal_panel(
    Range across, Range up, const HeatWords& words, double room, double width_of_all) {
  const double most_height = std::clamp(width_of_all, 400.0, 520.0);
  const double per_metre = std::min(room / across.width(), most_height / up.width());
  const double width = std::max(per_metre * across.width(), 1.0);
  const double height = std::max(per_metre * up.width(), 1.0);
  const auto ticks = [](double length) {
    return std::clamp(static_cast<int>(length / 55.0), 2, 9);
  };
  Panel panel{{0.0, 0.0, width, height},
              exact_axis(across, ticks(width), words.across),
              exact_axis(up, ticks(height), words.up)};
  panel.box.left = margin_of(width_of_all) + y_label_room(panel.y);
  panel.box.right += panel.box.left;
  return panel;
}

}  // namespace

void HeatLayout::move_down(double by) {
  panel.box.top += by;
  panel.box.bottom += by;
  bar.top += by;
  bar.bottom += by;
  bottom += by;
}

HeatLayout lay_out_heat(
    Range across, Range up, const HeatWords& words, const HeatScale& scale, double width) {
  const double edge = margin_of(width);
  const Axis finest = exact_axis(up, 9, {});  // has the widest labels
  const double full_room = width - 2.0 * edge - y_label_room(finest);
  const double bar_words =
      std::max(bar_width + bar_label_room(scale, true), text_width(words.value, plain_text));
  HeatLayout layout;
  layout.panel = equal_panel(across, up, words, full_room - bar_gap - bar_words, width);
  if (!is_slim(width) && layout.panel.box.height() >= lowest_upright_bar) {
    const Box& box = layout.panel.box;
    const double title_end = edge + text_width(words.up, plain_text);
    const double bar_left = std::max(box.right, title_end) + bar_gap;
    layout.bar = {bar_left, 0.0, bar_left + bar_width, box.bottom};
    layout.bottom = box.bottom + x_label_room(layout.panel.x);
    layout.width = std::max(std::min(width, narrowest_canvas), bar_left + bar_words + edge);
    return layout;
  }
  layout.panel = equal_panel(across, up, words, full_room, width);
  const double bar_top = layout.panel.box.bottom + x_label_room(layout.panel.x) + 30.0;
  const double bar_left = edge + 20.0;
  const double bar_length = std::clamp(layout.panel.box.width(), 300.0, full_room) - 30.0;
  layout.bar = {bar_left, bar_top, bar_left + bar_length, bar_top + bar_width};
  layout.bottom = layout.bar.bottom + bar_label_room(scale, false) + 4.0;
  layout.width = width;
  return layout;
}

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

void keep_clear(std::vector<Box>& quiet, const std::vector<std::vector<Point>>& lines) {
  constexpr double apart = 6.0;
  for (const std::vector<Point>& line : lines) {
    for (std::size_t i = 1; i < line.size(); ++i) {
      const Point a = line[i - 1];
      const Point b = line[i];
      const int parts = 1 + static_cast<int>(std::hypot(b.x - a.x, b.y - a.y) / apart);
      for (int k = 0; k <= parts; ++k) {
        const double t = static_cast<double>(k) / parts;
        const Point p{a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)};
        quiet.push_back(Box{p.x, p.y, p.x, p.y}.grown(2.0));
      }
    }
  }
}

Colour mark_colour() { return to_srgb({0.18, 0.02, 260.0}); }

}  // namespace sweepflux::render
