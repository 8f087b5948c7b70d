#include "render/charts/overlay.hpp"

#include "render/charts/chart.hpp"

#include <algorithm>
#include <cstddef>

namespace sweepflux::render {

Canvas draw_overlay(const OverlayInput& input) {
  constexpr double thinnest = 1.2;
  constexpr double thickest = 3.6;
  std::vector<std::string> fans;
  std::vector<std::string> settings;
  for (const OverlayCurve& curve : input.curves) {
    place_in(settings, curve.setting);
  }
  const double step =
      settings.size() > 1 ? (thickest - thinnest) / static_cast<double>(settings.size() - 1) : 0.0;
  ProfilesInput profiles;
  profiles.title = input.title;
  profiles.subtitle = input.subtitle;
  profiles.remark = input.remark;
  for (const OverlayCurve& curve : input.curves) {
    const auto style = static_cast<int>(place_in(fans, curve.fan));
    const double weight =
        settings.size() > 1
            ? thinnest + step * static_cast<double>(place_in(settings, curve.setting))
            : 2.0;
    const std::string name = curve.setting.empty() ? curve.fan : curve.fan + ", " + curve.setting;
    const auto dressed = [&](ProfileLine line) {
      line.name = name;
      line.style = style;
      line.weight = weight;
      return line;
    };
    profiles.across.push_back(dressed(curve.across));
    if (!curve.upright.at_m.empty()) {
      profiles.upright.push_back(dressed(curve.upright));
    }
  }
  return draw_profiles(profiles);
}

}  // namespace sweepflux::render
