#pragma once

#include "render/charts/plot.hpp"
#include "render/charts/profiles.hpp"

#include <map>
#include <string>
#include <vector>

/// Charts of several fans at several settings. A fan is a hue, a dash and a marker; a setting is a
/// weight, heavier in the order of first appearance, where a fan has several lines. Of more than 24
/// lines one a fan is drawn, that of the largest value, and the legend says so.
namespace sweepflux::render {

/// Style numbers (line_style) of fans that look the same in all charts of a page; others have
/// theirs in the order of first appearance.
using FanStyles = std::map<std::string, int>;

/// A quantity of one fan at one setting, against distance.
struct DistanceLine {
  std::string fan;
  std::string setting;
  std::vector<double> distance_m;  ///< rising
  std::vector<Estimate> value;     ///< as many
  bool measured = true;            ///< points with error bars; false: a line with its band
  std::string label = {};          ///< where it is not called "heron at 3"
};

struct DistanceChartInput : PictureWords {
  std::string value_title;  ///< "volume flow [m³/s]"
  std::string unit;
  std::vector<DistanceLine> lines;
  std::vector<LevelMark> levels;
  FanStyles styles;
  std::string distance_title = "distance from the outlet [m]";
  std::string distance_unit = "m";
  bool from_zero = true;  ///< false: the horizontal axis runs over the points alone
};

/// A quantity of several fans against the distance from the outlet (or against another quantity),
/// both from zero unless asked otherwise. Hue, dash and marker by fan, weight by setting, names
/// beside the lines.
///
/// @throws InputError  no line, or one whose lists do not fit
[[nodiscard]] Canvas draw_distance_chart(const DistanceChartInput& input);

/// One fan over its settings.
struct SettingLine {
  std::string fan;
  struct Point {
    std::string setting;
    Estimate value;
  };
  std::vector<Point> points;
};

struct ThrustChartInput : PictureWords {
  std::string value_title = "thrust [N]";  ///< or any other quantity that settings change
  std::string unit = "N";
  std::vector<SettingLine> fans;
  FanStyles styles;
};

/// A value against the setting, a line a fan, error bars for the 95 % intervals. Settings that are
/// all numbers stand at their numbers; others side by side in the order of first appearance.
/// Points whose error bars would cover each other are set a little apart.
///
/// @throws InputError  there is no point
[[nodiscard]] Canvas draw_thrust_chart(const ThrustChartInput& input);

/// One fan at one setting.
struct OverlayCurve {
  std::string fan;
  std::string setting;
  ProfileLine across;      ///< name, style and weight are filled in
  ProfileLine upright;     ///< without places: not drawn
  std::string label = {};  ///< where it is not called "heron at 3"
};

struct OverlayInput : PictureWords {
  std::vector<OverlayCurve> curves;
  FanStyles styles;
};

/// Profiles of several fans at the same distance over each other: hue, dash and marker by fan,
/// weight by setting, names at the height of their peaks.
///
/// @throws InputError  as draw_profiles
[[nodiscard]] Canvas draw_overlay(const OverlayInput& input);

}  // namespace sweepflux::render
