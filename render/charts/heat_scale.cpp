#include "render/canvas/text.hpp"
#include "render/charts/heat.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux::render {
namespace {

const ColourScale& colours(Palette palette) {
  return palette == Palette::speed ? speed_colours() : uncertainty_colours();
}

int decimals_for(const std::vector<double>& levels, double top) {
  double step = top;
  for (std::size_t i = 1; i < levels.size(); ++i) {
    step = std::min(step, levels[i] - levels[i - 1]);
  }
  return step > 0.0 ? std::max(0, static_cast<int>(-std::floor(std::log10(step) + 1e-9))) : 0;
}

Image paint_bar(const Box& box, const HeatScale& scale, bool upright) {
  const auto long_side = static_cast<std::size_t>(
      std::ceil(raster_pixels_per_px * std::max(box.width(), box.height())));
  Image image(upright ? 1 : long_side, upright ? long_side : 1);
  for (std::size_t i = 0; i < long_side; ++i) {
    const double t = (static_cast<double>(i) + 0.5) / static_cast<double>(long_side);
    const double value = scale.range.low + (upright ? 1.0 - t : t) * scale.range.width();
    image.set(upright ? 0 : i, upright ? i : 0, scale.colour(value), 255);
  }
  return image;
}

double widest_label(const HeatScale& scale) {
  double widest = 0.0;
  for (const double level : scale.levels) {
    widest = std::max(widest, text_width(level_text(scale, level), smallest_text));
  }
  return widest;
}

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

std::string level_text(const HeatScale& scale, double level) {
  if (scale.one_valued()) {
    return number_text(level);
  }
  const int decimals = decimals_for(scale.levels, scale.range.high);
  return decimals <= 4 && std::fabs(scale.range.high) < 1e5 ? fixed_text(level, decimals)
                                                            : number_text(level, 3);
}

Colour HeatScale::beyond_colour() const { return colours(palette).beyond(); }

Colour HeatScale::colour(double value) const {
  return colours(palette).at(one_valued() ? 0.5 : (value - range.low) / range.width());
}

bool HeatScale::beyond(double value) const {
  return value > range.high + 1e-9 * std::fabs(range.high);
}

HeatScale make_scale(Palette palette, Range values) {
  constexpr int most_levels = 9;  // more and their contours run together
  HeatScale scale;
  scale.palette = palette;
  scale.range = values;
  if (!(values.width() > 1e-9 * std::max(std::fabs(values.low), std::fabs(values.high)))) {
    scale.levels = {values.low};
    scale.range.high = scale.range.low;
    return scale;
  }
  // A hair below zero is rounding; more is reversed flow, which has to be seen.
  const double low = values.low < -0.01 * std::fabs(values.high) ? values.low : 0.0;
  const double high = std::max(values.high, low);
  const Axis axis = rounded_axis({low, high > low ? high : low + 1.0}, most_levels, {});
  scale.range = axis.range;
  scale.levels = axis.ticks;
  return scale;
}

std::optional<Range> supported_range(const GridField& field) {
  check(field);
  Range range{1e300, -1e300};
  for (std::size_t i = 0; i < field.values.size(); ++i) {
    const bool supported = field.support.empty() || field.support[i] >= least_support;
    if (supported && std::isfinite(field.values[i])) {
      range.low = std::min(range.low, field.values[i]);
      range.high = std::max(range.high, field.values[i]);
    }
  }
  if (range.low > range.high) {
    return std::nullopt;
  }
  return range;
}

double bar_label_room(const HeatScale& scale, bool upright) {
  return upright ? widest_label(scale) + 10.0 : smallest_text + 10.0;
}

void draw_colour_bar(Canvas& canvas,
                     const Box& whole,
                     const HeatScale& scale,
                     const std::string& title,
                     bool beyond) {
  constexpr double tip = 10.0;
  const bool upright = whole.height() > whole.width();
  Box box = whole;
  if (beyond) {
    (upright ? box.top : box.right) += upright ? tip : -tip;
    const Point middle{0.5 * (box.left + box.right), 0.5 * (box.top + box.bottom)};
    const Stroke edge{ink(), 1.0, {}};
    const Paint dark = fixed(scale.beyond_colour());
    if (upright) {
      canvas.polygon(
          {{box.left, box.top}, {box.right, box.top}, {middle.x, whole.top}}, dark, edge);
    } else {
      canvas.polygon(
          {{box.right, box.top}, {box.right, box.bottom}, {whole.right, middle.y}}, dark, edge);
    }
  }
  canvas.picture(box, paint_bar(box, scale, upright));
  canvas.box(box, {}, {ink(), 1.0, {}});
  const double apart = scale.levels.size() > 1
                           ? (upright ? box.height() : box.width()) *
                                 (scale.levels[1] - scale.levels[0]) / scale.range.width()
                           : 1e9;
  const double needed = upright ? 1.2 * smallest_text : widest_label(scale) + 8.0;
  const auto every = static_cast<std::size_t>(std::max(1.0, std::ceil(needed / apart)));
  for (std::size_t i = 0; i < scale.levels.size(); ++i) {
    const double level = scale.levels[i];
    const double t = scale.one_valued() ? 0.5 : (level - scale.range.low) / scale.range.width();
    const Point at = upright ? Point{box.right, box.bottom - t * box.height()}
                             : Point{box.left + t * box.width(), box.bottom};
    canvas.line(at, upright ? Point{at.x + 4.0, at.y} : Point{at.x, at.y + 4.0}, {ink(), 1.0, {}});
    const Point words_at = upright ? Point{at.x + 7.0, at.y + 0.36 * smallest_text}
                                   : Point{at.x, at.y + 7.0 + 0.76 * smallest_text};
    if (i % every != 0) {
      continue;
    }
    canvas.text({words_at,
                 level_text(scale, level),
                 smallest_text,
                 upright ? Anchor::start : Anchor::middle});
  }
  canvas.text({{whole.left, whole.top - 11.0}, title, plain_text});
}

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
  canvas.polylines(lines, {fixed({255, 255, 255}, 0.85), stroke.width + 2.2, {}});
  canvas.polylines(lines, stroke);
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
