#pragma once

#include "sweepflux/capture/survey/session.hpp"
#include "sweepflux/derive/thrust/session_thrust.hpp"
#include "sweepflux/rank/fan_at_setting.hpp"

#include <filesystem>
#include <string>
#include <vector>

namespace sweepflux::tool {

/// Where an entry came from, as results name it: relative to the folder that the command ran in, so
/// that tables that are handed on do not depend on how a path was typed.
[[nodiscard]] std::string relative_source(const std::filesystem::path& file);

/// A balance session as entries of a comparison, one a setting.
[[nodiscard]] std::vector<FanAtSetting> session_entries(const BalanceSession& session,
                                                        const SessionThrust& thrust);

}  // namespace sweepflux::tool
