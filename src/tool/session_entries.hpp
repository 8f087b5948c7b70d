#pragma once

#include "sweepflux/capture/survey/session.hpp"
#include "sweepflux/derive/thrust/session_thrust.hpp"
#include "sweepflux/rank/fan_at_setting.hpp"

#include <vector>

namespace sweepflux::tool {

/// A balance session as entries of a comparison, one a setting.
[[nodiscard]] std::vector<FanAtSetting> session_entries(const BalanceSession& session,
                                                        const SessionThrust& thrust);

}  // namespace sweepflux::tool
