#include "render/charts/thrust_chart.hpp"

#include "render/canvas/axes.hpp"
#include "render/canvas/number_text.hpp"
#include "render/canvas/text_size.hpp"
#include "render/charts/chart.hpp"
#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>

namespace sweepflux::render {
namespace {

constexpr double thrust_chart_width = 660.0;
constexpr double thrust_chart_panel_height = 320.0;

std::optional<double> as_number(const std::string& text) {
  double value = 0.0;
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (fault != std::errc{} || end != text.data() + text.size() || !std::isfinite(value)) {
    return std::nullopt;
  }
  return value;
}

/// Where each setting stands.
struct Settings {
  std::vector<std::string> names;  ///< in order of first appearance
  std::vector<double> places;
  bool numbers = true;

  [[nodiscard]] double place(const std::string& name) const {
    const auto found = std::find(names.begin(), names.end(), name);
    return places[static_cast<std::size_t>(found - names.begin())];
  }
};

Settings list_settings(const ThrustChartInput& input) {
  Settings settings;
  for (const SettingLine& fan : input.fans) {
    for (const SettingLine::Point& point : fan.points) {
      if (std::find(settings.names.begin(), settings.names.end(), point.setting) ==
          settings.names.end()) {
        settings.names.push_back(point.setting);
        settings.numbers = settings.numbers && as_number(point.setting).has_value();
      }
    }
  }
  for (std::size_t i = 0; i < settings.names.size(); ++i) {
    settings.places.push_back(settings.numbers ? *as_number(settings.names[i])
                                               : static_cast<double>(i));
  }
  return settings;
}

Axis setting_axis(const Settings& settings, double room) {
  const Range range = range_of(settings.places);
  // Half the room between neighbours, so that a label at the edge has as much as any other.
  const double spaces = static_cast<double>(std::max<std::size_t>(settings.names.size(), 2) - 1);
  const double around = range.width() > 0.0 ? 0.5 * range.width() / spaces : 0.5;
  Axis axis;
  axis.range = {range.low - around, range.high + around};
  axis.title = "setting";
  const double each = room / static_cast<double>(settings.names.size());
  std::vector<std::size_t> order(settings.names.size());
  for (std::size_t i = 0; i < order.size(); ++i) {
    order[i] = i;
  }
  std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return settings.places[a] < settings.places[b];
  });
  for (const std::size_t i : order) {
    axis.ticks.push_back(settings.places[i]);
    axis.labels.push_back(
        shorten(settings.names[i], smallest_text, false, std::max(each - 6.0, 40.0)));
  }
  return axis;
}

Range value_range(const ThrustChartInput& input) {
  Range range{0.0, 0.0};
  for (const SettingLine& fan : input.fans) {
    for (const SettingLine::Point& point : fan.points) {
      const std::vector<double> ends{point.value.value, point.value.low_95, point.value.high_95};
      range = join(range, range_of(ends));
    }
  }
  return range;
}

void draw_fan(Canvas& canvas,
              const Panel& panel,
              const ThrustChartInput& input,
              const Settings& settings,
              std::size_t number) {
  const SettingLine& fan = input.fans[number];
  const LineStyle style = line_style(static_cast<int>(number));
  const double apart = std::min(7.0, 30.0 / static_cast<double>(input.fans.size()));
  const double shift =
      (static_cast<double>(number) - 0.5 * static_cast<double>(input.fans.size() - 1)) * apart;
  std::vector<SettingLine::Point> points = fan.points;
  std::stable_sort(points.begin(), points.end(), [&](const auto& a, const auto& b) {
    return settings.place(a.setting) < settings.place(b.setting);
  });
  const auto at = [&](const SettingLine::Point& point, double value) {
    const Point p = panel.at(settings.place(point.setting), value);
    return Point{p.x + shift, p.y};
  };
  std::vector<Point> line;
  for (const SettingLine::Point& point : points) {
    line.push_back(at(point, point.value.value));
  }
  canvas.polyline(line, {style.paint, 1.8, style.dashes});
  for (const SettingLine::Point& point : points) {
    draw_error_bar(
        canvas, at(point, point.value.low_95), at(point, point.value.high_95), style.paint);
    draw_marker(canvas,
                style.marker,
                at(point, point.value.value),
                8.0,
                style.paint,
                fan.fan + ", " + point.setting + ": " + estimate_text(point.value, input.unit));
  }
}

std::string describe(const ThrustChartInput& input) {
  std::string text = input.value_title + " against the setting. ";
  for (const SettingLine& fan : input.fans) {
    text += fan.fan + ": ";
    for (const SettingLine::Point& point : fan.points) {
      text += point.setting + " gives " + estimate_text(point.value, input.unit) + "; ";
    }
  }
  return text + input.remark;
}

}  // namespace

Canvas draw_thrust_chart(const ThrustChartInput& input) {
  const Settings settings = list_settings(input);
  if (settings.names.empty()) {
    throw InputError("a chart over settings needs a point at least");
  }
  Canvas canvas;
  canvas.width = thrust_chart_width;
  canvas.description = describe(input);
  const double top = draw_heading(canvas, input.title, input.subtitle) + y_title_room;
  Panel panel;
  panel.y = axis_from_zero(value_range(input), 6, input.value_title);
  panel.box = {page_margin + y_label_room(panel.y),
               top,
               thrust_chart_width - page_margin - 8.0,
               top + thrust_chart_panel_height};
  panel.x = setting_axis(settings, panel.box.width());
  draw_grid(canvas, panel);
  std::vector<LegendEntry> legend;
  for (std::size_t i = 0; i < input.fans.size(); ++i) {
    draw_fan(canvas, panel, input, settings, i);
    const LineStyle style = line_style(static_cast<int>(i));
    legend.push_back(
        {[style](Canvas& to, const Box& box) {
           const double y = 0.5 * (box.top + box.bottom);
           to.line({box.left, y}, {box.right, y}, {style.paint, 1.8, style.dashes});
           draw_marker(to, style.marker, {0.5 * (box.left + box.right), y}, 8.0, style.paint);
         },
         input.fans[i].fan});
  }
  draw_axes(canvas, panel);
  draw_foot(canvas, legend, {input.remark}, panel.box.bottom + x_label_room(panel.x));
  return canvas;
}

}  // namespace sweepflux::render
