#include "render/charts/overlay.hpp"

#include "render/charts/plot.hpp"

#include <cstddef>

namespace sweepflux::render {

Canvas draw_overlay(const OverlayInput& input) {
  std::vector<FanSetting> names;
  std::vector<double> peaks;
  for (const OverlayCurve& curve : input.curves) {
    names.push_back({curve.fan, curve.setting});
    peaks.push_back(range_of(curve.across.speed_m_s).high);
  }
  const LinesShown shown = lines_shown(names, peaks);
  const std::vector<FanLook> looks = fan_looks(names);
  ProfilesInput profiles;
  profiles.title = input.title;
  profiles.subtitle = input.subtitle;
  profiles.remark = input.remark;
  profiles.width = input.width;
  profiles.names_at_peaks = true;
  profiles.legend = shown.legend;
  for (const std::size_t i : shown.lines) {
    const auto dressed = [&look = looks[i]](ProfileLine line) {
      line.name = look.name;
      line.style = look.style;
      line.weight = look.weight;
      return line;
    };
    profiles.across.push_back(dressed(input.curves[i].across));
    if (!input.curves[i].upright.at_m.empty()) {
      profiles.upright.push_back(dressed(input.curves[i].upright));
    }
  }
  return draw_profiles(profiles);
}

}  // namespace sweepflux::render
