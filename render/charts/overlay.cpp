#include "render/charts/overlay.hpp"

#include "render/charts/plot.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

namespace sweepflux::render {
namespace {

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
ProfileLine within(ProfileLine line, double reach) {
  ProfileLine cut = line;
  for (std::vector<double>* list :
       {&cut.at_m, &cut.speed_m_s, &cut.low_m_s, &cut.high_m_s, &cut.support}) {
    list->clear();
  }
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

Canvas draw_overlay(const OverlayInput& input) {
  std::vector<FanSetting> names;
  std::vector<double> peaks;
  for (const OverlayCurve& curve : input.curves) {
    names.push_back({curve.fan, curve.setting, curve.label});
    peaks.push_back(range_of(curve.across.speed_m_s).high);
  }
  const LinesShown shown = lines_shown(names, peaks);
  const std::vector<FanLook> looks = fan_looks(chosen(names, shown.lines), input.styles);
  ProfilesInput profiles;
  profiles.title = input.title;
  profiles.subtitle = input.subtitle;
  profiles.remark = input.remark;
  profiles.width = input.width;
  profiles.names_at_peaks = true;
  profiles.legend = shown.legend;
  const double reach = half_span_of_streams(input.curves);
  for (std::size_t n = 0; n < shown.lines.size(); ++n) {
    const std::size_t i = shown.lines[n];
    const auto dressed = [&look = looks[n], reach](ProfileLine line) {
      line.name = look.name;
      line.style = look.style;
      line.weight = look.weight;
      return within(std::move(line), reach);
    };
    profiles.across.push_back(dressed(input.curves[i].across));
    if (!input.curves[i].upright.at_m.empty()) {
      profiles.upright.push_back(dressed(input.curves[i].upright));
    }
  }
  return draw_profiles(profiles);
}

}  // namespace sweepflux::render
