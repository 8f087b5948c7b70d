#pragma once

#include "render/charts/plot.hpp"

#include <string>
#include <vector>

namespace sweepflux::render {

/// A quantity of one fan at one setting, against distance.
struct DistanceLine {
  std::string fan;
  std::string setting;
  std::vector<double> distance_m;  ///< rising
  std::vector<Estimate> value;     ///< as many
  bool measured = true;            ///< points with error bars; false: a line with its band
  std::string label = {};          ///< where it is not called "heron at 3"
};

struct DistanceChartInput {
  std::string title;
  std::string subtitle;
  std::string value_title;  ///< "volume flow [m³/s]"
  std::string unit;
  std::vector<DistanceLine> lines;
  std::vector<LevelMark> levels;
  FanStyles styles;
  std::string remark;
  double width = full_width;
  std::string distance_title = "distance from the outlet [m]";
  std::string distance_unit = "m";
  bool from_zero = true;  ///< false: the horizontal axis runs over the points alone
};

/// A quantity of several fans against the distance from the outlet (or against another quantity),
/// both from zero unless asked otherwise. Hue, dash and marker by fan, weight by setting, names beside the lines.
///
/// @throws InputError  no line, or one whose lists do not fit
[[nodiscard]] Canvas draw_distance_chart(const DistanceChartInput& input);

}  // namespace sweepflux::render
