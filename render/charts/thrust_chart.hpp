#pragma once

#include "render/canvas/canvas.hpp"
#include "render/charts/plot.hpp"
#include "sweepflux/base/measured.hpp"

#include <string>
#include <vector>

namespace sweepflux::render {

/// One fan over its settings.
struct SettingLine {
  std::string fan;
  struct Point {
    std::string setting;
    Estimate value;
  };
  std::vector<Point> points;
};

struct ThrustChartInput {
  std::string title;
  std::string subtitle;
  std::string value_title = "thrust [N]";  ///< or any other quantity that settings change
  std::string unit = "N";
  std::vector<SettingLine> fans;
  FanStyles styles;
  std::string remark;
  double width = full_width;
};

/// A value against the setting, a line a fan, error bars for the 95 % intervals. Settings that are
/// all numbers stand at their numbers; others side by side in the order of first appearance.
/// Points whose error bars would cover each other are set a little apart.
///
/// @throws InputError  there is no point
[[nodiscard]] Canvas draw_thrust_chart(const ThrustChartInput& input);

}  // namespace sweepflux::render
