#include "tool/session_entries.hpp"

#include "sweepflux/judge/plausibility.hpp"

#include <system_error>

namespace sweepflux::tool {

std::string relative_source(const std::filesystem::path& file) {
  std::error_code gone;
  const std::filesystem::path here = std::filesystem::current_path(gone);
  return gone ? file.filename().string() : file.lexically_proximate(here).string();
}

std::vector<FanAtSetting> session_entries(const BalanceSession& session,
                                          const SessionThrust& thrust) {
  std::vector<FanAtSetting> entries;
  for (const SettingThrust& s : thrust.settings) {
    FanAtSetting e;
    e.title = session.title;
    e.fan = s.fan;
    e.setting = s.setting;
    e.variant = s.variant;
    e.source = relative_source(session.file);
    e.density_kg_m3 = thrust.density_kg_m3;
    e.room = session.room;
    e.power_w = s.power_w;
    e.sound = s.sound;
    e.seat = session.seat;
    if (session.air) {
      e.air_temperature_k = session.air->temperature_k;
    }
    e.thrust_n = s.thrust_n;
    e.balance = e.source;  // a session is one balance
    e.lever_share = thrust.lever.ratio.standard_uncertainty / thrust.lever.ratio.value;
    for (const SessionFan& fan : session.fans) {
      if (fan.name == s.fan) {
        e.outlet = fan.outlet;
      }
    }
    e.warnings = warn_of_implausible(find_implausible(session, s),
                                     session.file.string() + ": " + s.fan + " at " + s.setting);
    entries.push_back(std::move(e));
  }
  return entries;
}

}  // namespace sweepflux::tool
