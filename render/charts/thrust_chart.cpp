#include "render/charts/thrust_chart.hpp"

#include "render/canvas/number_text.hpp"
#include "render/canvas/text_size.hpp"
#include "render/charts/plot.hpp"
#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>

namespace sweepflux::render {
namespace {

std::optional<double> as_number(const std::string& text) {
  double value = 0.0;
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (fault != std::errc{} || end != text.data() + text.size() || !std::isfinite(value)) {
    return std::nullopt;
  }
  return value;
}

/// Where each setting stands: at its number when all are numbers, else side by side.
struct Settings {
  FirstMet names;
  std::vector<double> places;
};

Settings list_settings(const ThrustChartInput& input) {
  Settings settings;
  for (const SettingLine& fan : input.fans) {
    for (const SettingLine::Point& point : fan.points) {
      settings.names.number(point.setting);
    }
  }
  const std::vector<std::string>& names = settings.names.words();
  const bool numbers = std::all_of(
      names.begin(), names.end(), [](const std::string& name) { return as_number(name); });
  for (std::size_t i = 0; i < names.size(); ++i) {
    settings.places.push_back(numbers ? *as_number(names[i]) : static_cast<double>(i));
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
  const double each = room / static_cast<double>(settings.names.size()) - 6.0;
  for (const std::string& name : settings.names.words()) {
    axis.upright = axis.upright || text_width(name, smallest_text) > each;
  }
  std::vector<std::size_t> order(settings.names.size());
  for (std::size_t i = 0; i < order.size(); ++i) {
    order[i] = i;
  }
  std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return settings.places[a] < settings.places[b];
  });
  for (const std::size_t i : order) {
    axis.ticks.push_back(settings.places[i]);
    axis.labels.push_back(shorten(settings.names.words()[i], smallest_text, false, 120.0));
  }
  return axis;
}

}  // namespace

Canvas draw_thrust_chart(const ThrustChartInput& input) {
  Settings settings = list_settings(input);
  if (settings.places.empty()) {
    throw InputError("a chart over settings needs a point at least");
  }
  Plot plot{input.title, input.subtitle, {}, input.value_title};
  plot.x = [&settings](double room) { return setting_axis(settings, room); };
  plot.remark = input.remark;
  plot.width = input.width;
  plot.description = input.value_title + " against the setting. ";
  FirstMet met;
  for (const SettingLine& fan : input.fans) {
    plot.lines.push_back({fan.fan, style_of(input.styles, met, fan.fan), 1.8, {}});
    std::vector<PlotPoint>& points = plot.lines.back().points;
    for (const SettingLine::Point& point : fan.points) {
      const auto place = static_cast<std::size_t>(settings.names.number(point.setting));
      const std::string words =
          fan.fan + ", " + point.setting + ": " + estimate_text(point.value, input.unit);
      points.push_back({settings.places[place], point.value, words});
      plot.description += words + "; ";
    }
    std::stable_sort(
        points.begin(), points.end(), [](const auto& a, const auto& b) { return a.x < b.x; });
  }
  return draw_plot(plot);
}

}  // namespace sweepflux::render
