#pragma once

#include "render/charts/plot.hpp"
#include "render/charts/profiles.hpp"

#include <string>
#include <vector>

namespace sweepflux::render {

/// One fan at one setting.
struct OverlayCurve {
  std::string fan;
  std::string setting;
  ProfileLine across;      ///< name, style and weight are filled in
  ProfileLine upright;     ///< without places: not drawn
  std::string label = {};  ///< where it is not called "heron at 3"
};

struct OverlayInput {
  std::string title;
  std::string subtitle;  ///< at which distance
  std::vector<OverlayCurve> curves;
  FanStyles styles;
  std::string remark;
  double width = full_width;
};

/// Profiles of several fans at the same distance over each other: hue, dash and marker by fan,
/// weight by setting, names at the height of their peaks.
///
/// @throws InputError  as draw_profiles
[[nodiscard]] Canvas draw_overlay(const OverlayInput& input);

}  // namespace sweepflux::render
