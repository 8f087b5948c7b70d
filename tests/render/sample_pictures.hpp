#pragma once

#include "render/charts/bars.hpp"
#include "render/charts/fan_charts.hpp"
#include "render/charts/plane_map.hpp"
#include "render/charts/schedule_chart.hpp"
#include "render/charts/stream_chart.hpp"
#include "render/charts/stream_view.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <string>
#include <utility>
#include <vector>

/// Pictures of invented streams, for tests that look at any picture.
namespace sweepflux::test {

/// A Gaussian stream off the middle, on a grid of `columns` cells across a window.
struct SampleStream {
  Window window{-0.8, 0.8, 0.2, 1.7};
  std::size_t columns = 120;
  double peak_m_s = 3.9;
  double half_width_m = 0.2;
  PlanePoint centre{0.1, 1.02};

  [[nodiscard]] double speed(PlanePoint p) const {
    const double q = std::hypot(p.y_m - centre.y_m, p.z_m - centre.z_m) / half_width_m;
    return peak_m_s * std::exp2(-q * q);
  }
};

inline render::GridField sample_field(const SampleStream& stream) {
  render::GridField field;
  const double step = stream.window.width_m() / static_cast<double>(stream.columns - 1);
  field.columns = stream.columns;
  field.rows = 1 + static_cast<std::size_t>(stream.window.height_m() / step);
  field.across_min = stream.window.y_min_m;
  field.up_min = stream.window.z_min_m;
  field.across_step = step;
  field.up_step = step;
  for (std::size_t row = 0; row < field.rows; ++row) {
    for (std::size_t column = 0; column < field.columns; ++column) {
      const PlanePoint p{field.across(static_cast<double>(column)),
                         field.up(static_cast<double>(row))};
      field.values.push_back(stream.speed(p));
      const double edge = std::min({p.y_m - stream.window.y_min_m, stream.window.y_max_m - p.y_m}) /
                          stream.window.width_m();
      field.support.push_back(std::clamp(edge / 0.12, 0.0, 1.0));
    }
  }
  return field;
}

inline render::PlaneMapInput sample_map(const SampleStream& stream) {
  render::PlaneMapInput input;
  input.title = "Herb loft, heron, speed 3";
  input.subtitle = "speed 1.50 m from the turntable's axis, seen facing the fan";
  input.field = sample_field(stream);
  for (int sweep = 0; sweep < 7; ++sweep) {
    for (int i = 0; i < 41; ++i) {
      const PlanePoint p{stream.window.y_min_m + stream.window.width_m() * (0.1 + 0.02 * i),
                         stream.window.z_min_m + stream.window.height_m() * (0.1 + 0.13 * sweep)};
      const double speed = stream.speed(p);
      input.readings.push_back({p, speed, speed < 0.1 * stream.peak_m_s});
    }
  }
  input.outlet = render::OutletOutline{true, {0.0, 0.92}, 0.2, 0.2};
  input.centre = stream.centre;
  input.floor_m = stream.window.z_min_m + 0.06 * stream.window.height_m();
  input.facts = {"peak 3.90 m/s", "flow 0.613 ± 0.060 m³/s", "momentum flux 0.913 ± 0.062 N"};
  input.remark = "± holds the true value with 95 % probability.";
  return input;
}

inline render::ProfileLine sample_profile(
    std::string name, double peak, double half_width, double centre, double low, double high) {
  render::ProfileLine line;
  line.name = std::move(name);
  for (int i = 0; i <= 80; ++i) {
    const double at = low + (high - low) * i / 80.0;
    const double q = (at - centre) / half_width;
    const double speed = peak * std::exp2(-q * q);
    line.at_m.push_back(at);
    line.speed_m_s.push_back(speed);
    line.low_m_s.push_back(0.94 * speed - 0.02 * peak);
    line.high_m_s.push_back(1.06 * speed + 0.02 * peak);
    line.support.push_back(i < 8 || i > 72 ? 0.1 : 1.0);
    if (i % 5 == 0) {
      line.readings.push_back({at, speed * (1.0 + 0.02 * ((i / 5) % 3 - 1)), speed < 0.1 * peak});
    }
  }
  return line;
}

inline render::ProfilesInput sample_profiles(double factor, const std::string& title) {
  render::ProfilesInput input;
  input.title = title;
  input.subtitle = "speed along cuts through the centre of each plane";
  input.starting_speed_m_s = 0.3 * factor;
  input.floor_m = 0.0;
  int style = 0;
  for (const double distance : {0.75, 1.5, 2.5}) {
    const double width = 0.08 + 0.1 * distance;
    const std::string name = std::to_string(distance).substr(0, 4) + " m";
    input.across.push_back(
        sample_profile(name, factor * 5.5 / (1.0 + distance), width, 0.02, -0.9, 0.9));
    input.upright.push_back(
        sample_profile(name, factor * 5.5 / (1.0 + distance), width, 0.95, -0.05, 1.8));
    input.across.back().style = style;
    input.upright.back().style = style++;
  }
  return input;
}

inline render::StreamViewInput sample_view(bool from_above,
                                           double factor,
                                           const std::string& title) {
  render::StreamViewInput input;
  input.title = title;
  input.subtitle = from_above ? "from above" : "from the side";
  input.from_above = from_above;
  input.outlet_x_m = 0.11;
  input.outlet_centre_m = from_above ? 0.0 : 0.92;
  input.outlet_half_m = 0.2;
  input.floor_m = 0.0;
  for (const double x : {0.75, 1.5, 2.5}) {
    const double centre = (from_above ? 0.0 : 0.92) + 0.03 * x;
    render::ProfileLine line = sample_profile(
        {}, factor * 5.5 / (1.0 + x), 0.08 + 0.1 * x, centre, centre - 0.8, centre + 0.8);
    input.stations.push_back({x, line.at_m, line.speed_m_s, line.support, centre, 0.08 + 0.1 * x});
  }
  return input;
}

/// Fourteen fans of one to twelve settings, over settings, over distance and across the stream.
inline std::vector<std::pair<std::string, render::Canvas>> many_fans(double width) {
  using namespace render;
  ThrustChartInput thrust;
  DistanceChartInput growth, prediction;
  OverlayInput overlay;
  RankingInput ranking;
  thrust.width = growth.width = prediction.width = overlay.width = ranking.width = width;
  growth.value_title = "volume flow [m³/s]";
  prediction.value_title = "centreline speed [m/s]";
  prediction.levels = {{0.25, "0.25 m/s"}, {0.5, "0.5 m/s"}, {1.0, "1 m/s"}};
  ranking.value_title = "thrust [N]";
  for (int fan = 0; fan < 14; ++fan) {
    const std::string name = "fan " + std::string(1, static_cast<char>('a' + fan));
    SettingLine line{name, {}};
    const int settings = fan == 0 ? 1 : 1 + (5 * fan) % 12;
    for (int setting = 1; setting <= settings; ++setting) {
      const double value = 0.05 * setting * setting / settings + 0.04 * fan;
      const Estimate e{value, 0.01, value - 0.02, value + 0.02};
      line.points.push_back({std::to_string(setting), e});
      growth.lines.push_back({name,
                              std::to_string(setting),
                              {1.0, 2.0},
                              {e, {2.0 * value, 0.02, 1.9 * value, 2.1 * value}}});
      DistanceLine curve{name, std::to_string(setting), {}, {}, false};
      for (int i = 1; i <= 40; ++i) {
        const double speed = 4.0 * value / (0.3 + 0.1 * i);
        curve.distance_m.push_back(0.2 * i);
        curve.value.push_back({speed, 0.1 * speed, 0.8 * speed, 1.2 * speed});
      }
      prediction.lines.push_back(curve);
      ProfileLine profile = sample_profile({}, 5.0 * value, 0.2, 0.01 * fan, -0.9, 0.9);
      profile.support.clear();
      profile.readings.clear();
      overlay.curves.push_back({name, std::to_string(setting), profile, {}});
      ranking.bars.push_back({name + " at " + std::to_string(setting), e, 1 + fan});
    }
    thrust.fans.push_back(line);
  }
  std::vector<std::pair<std::string, Canvas>> pictures;
  thrust.title = growth.title = prediction.title = overlay.title = ranking.title = "Fourteen fans";
  pictures.emplace_back("thrust of many", draw_thrust_chart(thrust));
  pictures.emplace_back("growth of many", draw_distance_chart(growth));
  pictures.emplace_back("throw of many", draw_distance_chart(prediction));
  pictures.emplace_back("overlay of many", draw_overlay(overlay));
  pictures.emplace_back("ranking of many", draw_ranking(ranking));
  return pictures;
}

/// Every kind of picture, with a factor on all values and a title of any length.
inline std::vector<std::pair<std::string, render::Canvas>> sample_pictures(
    double factor, const std::string& title, double width = render::full_width) {
  using namespace render;
  std::vector<std::pair<std::string, Canvas>> pictures;
  const auto sized = [width](auto input) {
    input.width = width;
    return input;
  };
  const auto estimate = [factor](double value, double half) {
    return Estimate{
        factor * value, factor * half / 2.0, factor * (value - half), factor * (value + half)};
  };
  SampleStream stream;
  stream.peak_m_s *= factor;
  PlaneMapInput map = sample_map(stream);
  map.title = title;
  pictures.emplace_back("plane map", draw_plane_map(sized(map)));
  map.palette = Palette::uncertainty;
  map.value_title = "uncertainty [m/s]";
  pictures.emplace_back("uncertainty map", draw_plane_map(sized(map)));
  pictures.emplace_back("profiles", draw_profiles(sized(sample_profiles(factor, title))));
  pictures.emplace_back("side view", draw_stream_view(sized(sample_view(false, factor, title))));
  pictures.emplace_back("top view", draw_stream_view(sized(sample_view(true, factor, title))));
  OverlayInput overlay;
  overlay.title = title;
  overlay.subtitle = "at 1.50 m";
  ThrustChartInput thrust;
  thrust.title = title;
  for (const std::string fan : {"heron", "teal", "wren"}) {
    SettingLine line{fan, {}};
    int number = 0;
    for (const std::string setting : {"sleep", "low", "a setting with a very long name indeed"}) {
      ++number;
      line.points.push_back(
          {setting,
           estimate(0.2 * number * number + 0.05 * static_cast<double>(thrust.fans.size()), 0.06)});
      overlay.curves.push_back({fan,
                                setting,
                                sample_profile({}, factor * number, 0.25, 0.0, -0.9, 0.9),
                                sample_profile({}, factor * number, 0.25, 0.9, 0.0, 1.8)});
    }
    thrust.fans.push_back(line);
  }
  pictures.emplace_back("overlay", draw_overlay(sized(overlay)));
  pictures.emplace_back("thrust", draw_thrust_chart(sized(thrust)));
  StreamChartInput along;
  along.title = title;
  along.subtitle = "along the stream";
  along.thrust_n = estimate(0.95, 0.02);
  along.points = {{0.75, estimate(0.38, 0.04), estimate(0.92, 0.06)},
                  {1.5, estimate(0.61, 0.06), estimate(0.91, 0.06)},
                  {2.5, estimate(0.95, 0.16), estimate(0.86, 0.10)}};
  pictures.emplace_back("stream", draw_stream_chart(sized(along)));
  ScheduleChartInput schedule;
  schedule.title = title;
  for (int i = 1; i <= 12; ++i) {
    schedule.plan.push_back({12.0 * i, 0.03 + 0.6 * std::pow(0.55, i), "1.50 m"});
    schedule.evenly_spaced.push_back({12.5 * i, 0.035 + 0.7 * std::pow(0.72, i), {}});
  }
  schedule.knee = 5;
  schedule.target = 0.05;
  schedule.budget_minutes = 180.0;
  pictures.emplace_back("schedule", draw_schedule_chart(sized(schedule)));
  RankingInput ranking;
  ranking.title = title;
  ranking.subtitle = "at 1.50 m";
  ranking.value_title = "momentum flux [N]";
  ranking.unit = "N";
  ranking.bars = {
      {"heron, turbo", estimate(0.95, 0.04), 1},
      {"teal, with a name that is far too long to be drawn in full", estimate(0.93, 0.06), 1},
      {"wren", estimate(0.71, 0.04), 3}};
  pictures.emplace_back("ranking", draw_ranking(sized(ranking)));
  BudgetBarsInput budget;
  budget.title = title;
  budget.subtitle = "uncertainty budget";
  budget.all = {"all together", 0.056, 0.046};
  budget.sources = {{"probe scale", 0.02, 0.04},
                    {"outer region outside the outermost readings of all sweeps", 0.04, 0.006},
                    {"air density", 0.0, 0.0017}};
  pictures.emplace_back("budget", draw_budget_bars(sized(budget)));
  return pictures;
}

}  // namespace sweepflux::test
