#include "render/charts/fan_charts.hpp"

#include "render/canvas/text.hpp"
#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstddef>
#include <limits>
#include <numeric>
#include <optional>
#include <utility>

namespace sweepflux::render {
namespace {

constexpr std::size_t most_lines = 24;

struct FanLook {
  std::size_t line = 0;  ///< number among those given
  int style = 0;
  double weight = 2.0;
  std::string name;
};

struct LinesShown {
  std::vector<FanLook> lines;
  std::vector<LegendEntry> legend;
};

/// The style given for a fan, else its number among those met.
int style_of(const FanStyles& styles, FirstMet& met, const std::string& fan) {
  const auto found = styles.find(fan);
  return found != styles.end() ? found->second : met.number(fan);
}

template <typename Line>
std::string name_of(const Line& line) {
  return !line.label.empty()    ? line.label
         : line.setting.empty() ? line.fan
                                : line.fan + " at " + line.setting;
}

/// Which of the lines a chart has room for, and how they look.
template <typename Line, typename Largest>
LinesShown lines_shown(const std::vector<Line>& lines, Largest largest, const FanStyles& styles) {
  std::vector<std::size_t> chosen;
  FirstMet of_chosen;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const auto fan = static_cast<std::size_t>(of_chosen.number(lines[i].fan));
    if (lines.size() <= most_lines || fan == chosen.size()) {
      chosen.push_back(i);
    } else if (largest(lines[i]) > largest(lines[chosen[fan]])) {
      chosen[fan] = i;
    }
  }
  LinesShown shown;
  if (chosen.size() < lines.size()) {
    shown.legend.push_back({{},
                            "of each fan the setting with the highest line, " +
                                std::to_string(chosen.size()) + " of " +
                                std::to_string(lines.size())});
  }
  constexpr double thinnest = 1.2;
  constexpr double thickest = 3.4;
  FirstMet fans, settings;
  std::map<std::string, std::size_t> lines_of;
  bool several = false;
  for (const std::size_t i : chosen) {
    settings.number(lines[i].setting);
    several = ++lines_of[lines[i].fan] > 1 || several;
  }
  // A weight tells settings of one fan apart; where each has one line there is nothing to tell.
  const bool weighted = several && settings.size() > 1;
  const double step =
      weighted ? (thickest - thinnest) / static_cast<double>(settings.size() - 1) : 0.0;
  for (const std::size_t i : chosen) {
    const double weight = weighted ? thinnest + step * settings.number(lines[i].setting) : 2.0;
    shown.lines.push_back({i, style_of(styles, fans, lines[i].fan), weight, name_of(lines[i])});
  }
  return shown;
}

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
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return settings.places[a] < settings.places[b];
  });
  for (const std::size_t i : order) {
    axis.ticks.push_back(settings.places[i]);
    axis.labels.push_back(shorten(settings.names.words()[i], smallest_text, false, 120.0));
  }
  return axis;
}

/// How far to the sides any stream has air worth a picture: two per cent of the fastest.
double half_span_of_streams(const std::vector<OverlayCurve>& curves) {
  double fastest = 0.0, reach = 0.0;
  for (const bool measure : {false, true}) {
    for (const OverlayCurve& curve : curves) {
      for (std::size_t i = 0; i < curve.across.at_m.size(); ++i) {
        const double speed = curve.across.speed_m_s[i];
        fastest = std::max(fastest, measure ? 0.0 : speed);
        reach = measure && speed > 0.02 * fastest ? std::max(reach, std::abs(curve.across.at_m[i]))
                                                  : reach;
      }
    }
  }
  return 1.1 * reach;
}

/// The line as far as that on both sides; one with fewer than four places there stays whole.
ProfileLine within(const ProfileLine& line, double reach) {
  ProfileLine cut = line.without_places();
  for (std::size_t i = 0; i < line.at_m.size(); ++i) {
    if (std::abs(line.at_m[i]) <= reach) {
      cut.at_m.push_back(line.at_m[i]);
      cut.speed_m_s.push_back(line.speed_m_s[i]);
      if (!line.low_m_s.empty()) {
        cut.low_m_s.push_back(line.low_m_s[i]);
        cut.high_m_s.push_back(line.high_m_s[i]);
      }
      if (!line.support.empty()) {
        cut.support.push_back(line.support[i]);
      }
    }
  }
  return cut.at_m.size() < 4 ? line : cut;
}

}  // namespace

Canvas draw_distance_chart(const DistanceChartInput& input) {
  if (input.lines.empty()) {
    throw InputError("a chart against distance needs a line at least");
  }
  double nearest = std::numeric_limits<double>::infinity();
  double farthest = 0.0;
  for (const DistanceLine& line : input.lines) {
    if (line.distance_m.empty() || line.distance_m.size() != line.value.size()) {
      throw InputError("a line against distance needs a value for each distance");
    }
    nearest = std::min(nearest, range_of(line.distance_m).low);
    farthest = std::max(farthest, range_of(line.distance_m).high);
  }
  Plot plot{input, {}, input.value_title};
  plot.x = [&](double room) {
    const double around = 0.06 * std::max(farthest - nearest, 1.0);
    const Range range =
        input.from_zero ? Range{0.0, 1.04 * farthest} : Range{nearest - around, farthest + around};
    return exact_axis(range, static_cast<int>(room / 62.0), input.distance_title);
  };
  plot.levels = input.levels;
  plot.description = input.value_title + " against " + input.distance_title + ". ";
  LinesShown shown = lines_shown(
      input.lines, [](const DistanceLine& l) { return l.value.back().value; }, input.styles);
  plot.legend = std::move(shown.legend);
  for (const FanLook& look : shown.lines) {
    const DistanceLine& line = input.lines[look.line];
    plot.lines.push_back({look.name, look.style, look.weight, {}, line.measured});
    for (std::size_t k = 0; k < line.value.size(); ++k) {
      const std::string words = with_unit(number_text(line.distance_m[k]), input.distance_unit) +
                                ": " + estimate_text(line.value[k], input.unit);
      plot.lines.back().points.push_back(
          {line.distance_m[k], line.value[k], look.name + ", " + words});
      if (k == 0 || k + 1 == line.value.size()) {
        plot.description += (k == 0 ? look.name + ", " : std::string("to ")) + words + "; ";
      }
    }
  }
  return draw_plot(plot);
}

Canvas draw_thrust_chart(const ThrustChartInput& input) {
  Settings settings = list_settings(input);
  if (settings.places.empty()) {
    throw InputError("a chart over settings needs a point at least");
  }
  Plot plot{input, {}, input.value_title};
  plot.x = [&settings](double room) { return setting_axis(settings, room); };
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

Canvas draw_overlay(const OverlayInput& input) {
  LinesShown shown = lines_shown(
      input.curves,
      [](const OverlayCurve& c) { return range_of(c.across.speed_m_s).high; },
      input.styles);
  ProfilesInput profiles{input};
  profiles.names_at_peaks = true;
  profiles.legend = std::move(shown.legend);
  const double reach = half_span_of_streams(input.curves);
  for (const FanLook& look : shown.lines) {
    const auto dressed = [&](ProfileLine line) {
      line.name = look.name;
      line.style = look.style;
      line.weight = look.weight;
      return within(line, reach);
    };
    const OverlayCurve& curve = input.curves[look.line];
    profiles.across.push_back(dressed(curve.across));
    if (!curve.upright.at_m.empty()) {
      profiles.upright.push_back(dressed(curve.upright));
    }
  }
  return draw_profiles(profiles);
}

}  // namespace sweepflux::render
