#pragma once

#include "render/canvas/canvas.hpp"
#include "sweepflux/base/measured.hpp"

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
};

/// A wished value, as a level line with its name.
struct LevelMark {
  double value = 0.0;
  std::string words;
};

struct DistanceChartInput {
  std::string title;
  std::string subtitle;
  std::string value_title;  ///< "volume flow [m³/s]"
  std::string unit;
  std::vector<DistanceLine> lines;
  std::vector<LevelMark> levels;
  std::string remark;
};

/// A quantity of several fans against the distance from the outlet, both from zero. A fan is a
/// colour, a dash and a marker; a setting is a weight, heavier in the order of first appearance.
/// Bands are drawn for up to four lines; above that they would hide each other.
///
/// @throws InputError  no line, or one whose lists do not fit
[[nodiscard]] Canvas draw_distance_chart(const DistanceChartInput& input);

}  // namespace sweepflux::render
