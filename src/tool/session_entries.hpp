#pragma once

#include "sweepflux/capture/session.hpp"
#include "sweepflux/derive/session_thrust.hpp"
#include "sweepflux/judge/fan_at_setting.hpp"

#include <vector>

namespace sweepflux::tool {

/// A balance session as entries of a comparison, one a setting.
[[nodiscard]] std::vector<FanAtSetting> session_entries(const BalanceSession& session,
                                                        const SessionThrust& thrust);

}  // namespace sweepflux::tool
