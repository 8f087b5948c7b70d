#pragma once

#include "sweepflux/base/interrupt.hpp"
#include "sweepflux/derive/thrust/session_thrust.hpp"
#include "sweepflux/rank/fan_at_setting.hpp"

#include <filesystem>
#include <span>
#include <string>
#include <vector>

namespace sweepflux::tool {

/// What `compare` was pointed at.
struct Campaign {
  std::vector<FanAtSetting> entries;
  std::vector<std::filesystem::path> inputs;  ///< files that were read
  std::vector<std::string> remarks;           ///< folders passed over, and why
};

/// Reads each path: a survey's folder (survey.toml) or file, mapped anew; a campaign's file
/// (campaign.toml), each setting mapped anew; a result folder of `map`
/// (summary.json); a balance session (session.toml, or any TOML file with a [session]); or a
/// campaign, a folder of such folders and of session files. Nothing of these is left unread because
/// of what lies beside it; only results below their own survey are.
///
/// A survey without sweeps counts by its balance. One whose sweeps give no map counts by its
/// balance and by the sweeps as read, and says why.
///
/// @throws InputError   a path is none of these; SurveyError with the faults of *all* surveys
/// @throws Interrupted  progress.stop_wanted said so
[[nodiscard]] Campaign read_campaign(std::span<const std::string> paths,
                                     int threads,
                                     const Progress& progress);

/// A balance session as entries of a comparison, one a setting.
[[nodiscard]] std::vector<FanAtSetting> session_entries(const BalanceSession& session,
                                                        const SessionThrust& thrust);

}  // namespace sweepflux::tool
