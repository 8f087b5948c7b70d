#pragma once

#include "sweepflux/capture/survey/read_survey.hpp"
#include "sweepflux/capture/survey/session.hpp"

#include <filesystem>
#include <vector>

namespace sweepflux {

/// True when a file has a [campaign] header on a line of its own.
[[nodiscard]] bool is_campaign_file(const std::filesystem::path& file);

/// Reads a campaign: one TOML file with many fans and settings, which names what they share once.
///
/// ```toml
/// [campaign]
/// title = "Herb loft"
/// sound_distance = "1 m"           # optional: where a setting states none
///
/// [air]     # as in a survey, and so [room], [rig], [probe], [columns], [log], [plan] and [seat]
/// [balance] # lever, resolution and gravity
///
/// [[fan]]
/// name = "heron"
/// [fan.outlet]                     # as in a survey
///
/// [[fan.setting]]
/// setting = "3"
/// variant = "filter out"           # optional: what differs from the fan as bought
/// power = "41 W"                   # optional
/// sound_level = "43 dB"            # optional, as in a survey's [outlet]
/// [fan.setting.air]                # optional: instead of [air]; also room, plan and seat
/// [fan.setting.gusts]              # optional: a log with the probe at rest, as in a survey
/// [fan.setting.balance]            # optional: zeros and readings, or a log
/// [[fan.setting.sweep]]            # as in a survey
/// ```
///
/// @return a survey a setting, in the order of the file; those without sweeps are among them
/// @throws InputError   an option is out of range
/// @throws SurveyError  with *every* fault found
[[nodiscard]] std::vector<Survey> read_campaign_file(const std::filesystem::path& file,
                                                     const ReadOptions& options = {});

/// The balance readings of a campaign as a session; its settings without any are left out.
///
/// @throws InputError  no setting has a [balance], or one has a log that is not reduced yet
[[nodiscard]] BalanceSession session_of(const std::vector<Survey>& campaign);

}  // namespace sweepflux
