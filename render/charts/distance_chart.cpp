#include "render/charts/distance_chart.hpp"

#include "render/canvas/axes.hpp"
#include "render/canvas/number_text.hpp"
#include "render/charts/chart.hpp"
#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace sweepflux::render {
namespace {

constexpr double distance_chart_width = 660.0;
constexpr double distance_chart_panel_height = 320.0;
constexpr std::size_t most_bands = 4;

/// Colour, dash and marker by fan, weight by setting.
struct Look {
  LineStyle style;
  double weight = 2.0;
};

std::vector<Look> looks_of(const DistanceChartInput& input) {
  std::vector<std::string> fans, settings;
  for (const DistanceLine& line : input.lines) {
    place_in(settings, line.setting);
  }
  const double step = settings.size() > 1 ? 2.0 / static_cast<double>(settings.size() - 1) : 0.0;
  std::vector<Look> looks;
  for (const DistanceLine& line : input.lines) {
    const auto fan = static_cast<int>(place_in(fans, line.fan));
    const auto setting = static_cast<double>(place_in(settings, line.setting));
    looks.push_back({line_style(fan), settings.size() > 1 ? 1.3 + step * setting : 2.0});
  }
  return looks;
}

std::string name_of(const DistanceLine& line) {
  return line.setting.empty() ? line.fan : line.fan + " at " + line.setting;
}

void check(const DistanceChartInput& input) {
  if (input.lines.empty()) {
    throw InputError("a chart against distance needs a line at least");
  }
  for (const DistanceLine& line : input.lines) {
    if (line.distance_m.empty() || line.distance_m.size() != line.value.size()) {
      throw InputError("a line against distance needs a value for each distance");
    }
  }
}

bool with_bands(const DistanceChartInput& input) {
  return static_cast<std::size_t>(
             std::count_if(input.lines.begin(), input.lines.end(), [](const DistanceLine& line) {
               return !line.measured;
             })) <= most_bands;
}

Panel panel_of(const DistanceChartInput& input, double top) {
  Range distances{0.0, 0.0}, values{0.0, 0.0};
  const bool bands = with_bands(input);
  for (const DistanceLine& line : input.lines) {
    distances = join(distances, range_of(line.distance_m));
    for (const Estimate& e : line.value) {
      const std::vector<double> ends{e.value, line.measured || bands ? e.high_95 : e.value};
      values = join(values, range_of(ends));
    }
  }
  for (const LevelMark& level : input.levels) {
    values = join(values, {0.0, level.value});
  }
  Panel panel;
  panel.y = axis_from_zero({values.low, 1.03 * values.high}, 6, input.value_title);
  panel.x = exact_axis({0.0, 1.04 * distances.high}, 8, "distance from the outlet [m]");
  panel.box = {page_margin + y_label_room(panel.y),
               top,
               distance_chart_width - page_margin - 8.0,
               top + distance_chart_panel_height};
  return panel;
}

void draw_measured(Canvas& canvas,
                   const Panel& panel,
                   const DistanceLine& line,
                   const Look& look,
                   const std::string& unit) {
  std::vector<Point> points;
  for (std::size_t i = 0; i < line.value.size(); ++i) {
    points.push_back(panel.at(line.distance_m[i], line.value[i].value));
  }
  canvas.polyline(points, {look.style.paint, look.weight, look.style.dashes});
  for (std::size_t i = 0; i < line.value.size(); ++i) {
    const Estimate& e = line.value[i];
    draw_error_bar(canvas,
                   panel.at(line.distance_m[i], e.low_95),
                   panel.at(line.distance_m[i], e.high_95),
                   look.style.paint);
    draw_marker(canvas,
                look.style.marker,
                points[i],
                8.0,
                look.style.paint,
                name_of(line) + ", " + with_unit(number_text(line.distance_m[i]), "m") + ": " +
                    estimate_text(e, unit));
  }
}

void draw_foretold(Canvas& canvas,
                   const Panel& panel,
                   const DistanceLine& line,
                   const Look& look,
                   const DistanceChartInput& input) {
  std::vector<Point> middle, low, high;
  for (std::size_t i = 0; i < line.value.size(); ++i) {
    const Estimate& e = line.value[i];
    middle.push_back(panel.at(line.distance_m[i], e.value));
    low.push_back(panel.at(line.distance_m[i], e.low_95));
    high.push_back(panel.at(line.distance_m[i], e.high_95));
  }
  if (with_bands(input)) {
    Paint fill = look.style.paint;
    fill.opacity = 0.16;
    draw_band(canvas, low, high, fill);
  }
  canvas.polyline(middle, {look.style.paint, look.weight, look.style.dashes}, name_of(line));
  // A finger or a pointer needs something to rest on.
  for (std::size_t i = 0; i < line.value.size();
       i += std::max<std::size_t>(1, line.value.size() / 8)) {
    Paint unseen = look.style.paint;
    unseen.opacity = 0.02;
    canvas.dot(middle[i],
               9.0,
               unseen,
               {},
               name_of(line) + ", " + with_unit(number_text(line.distance_m[i]), "m") + ": " +
                   estimate_text(line.value[i], input.unit));
  }
}

std::string describe(const DistanceChartInput& input) {
  std::string text = input.value_title + " against the distance from the outlet. ";
  for (const DistanceLine& line : input.lines) {
    text += name_of(line) + ": " + estimate_text(line.value.front(), input.unit) + " at " +
            number_text(line.distance_m.front()) + " m";
    if (line.value.size() > 1) {
      text += ", " + estimate_text(line.value.back(), input.unit) + " at " +
              number_text(line.distance_m.back()) + " m";
    }
    text += ". ";
  }
  return text + input.remark;
}

}  // namespace

Canvas draw_distance_chart(const DistanceChartInput& input) {
  check(input);
  Canvas canvas;
  canvas.width = distance_chart_width;
  canvas.description = describe(input);
  const double top = draw_heading(canvas, input.title, input.subtitle) + y_title_room;
  const Panel panel = panel_of(input, top);
  draw_grid(canvas, panel);
  canvas.items.emplace_back(ClipBegin{panel.box.grown(6.0)});
  const std::vector<Look> looks = looks_of(input);
  std::vector<LegendEntry> legend;
  for (std::size_t i = 0; i < input.lines.size(); ++i) {
    const DistanceLine& line = input.lines[i];
    if (line.measured) {
      draw_measured(canvas, panel, line, looks[i], input.unit);
    } else {
      draw_foretold(canvas, panel, line, looks[i], input);
    }
    legend.push_back(line_entry(looks[i].style, looks[i].weight, name_of(line)));
  }
  for (const LevelMark& level : input.levels) {
    const double y = panel.py(level.value);
    canvas.line({panel.box.left, y}, {panel.box.right, y}, {ink(), 1.0, {2.0, 3.0}});
    Text words;
    words.at = {panel.box.right - 4.0, y - 4.0};
    words.words = level.words;
    words.size = smallest_text;
    words.anchor = Anchor::end;
    words.paint = ink();
    canvas.text(words);
  }
  canvas.items.emplace_back(ClipEnd{});
  draw_axes(canvas, panel);
  std::string remark = input.remark;
  if (!with_bands(input)) {
    remark += " Bands are left out because there are too many; the tables have them.";
  }
  draw_foot(canvas, legend, {remark}, panel.box.bottom + x_label_room(panel.x));
  return canvas;
}

}  // namespace sweepflux::render
