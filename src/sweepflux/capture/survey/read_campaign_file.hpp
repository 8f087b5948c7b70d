#pragma once

#include "sweepflux/capture/survey/read_survey.hpp"
#include "sweepflux/capture/survey/session.hpp"

#include <filesystem>
#include <vector>

namespace sweepflux {

/// True when a file has a [campaign] header on a line of its own.
[[nodiscard]] bool is_campaign_file(const std::filesystem::path& file);

/// Reads a campaign: one TOML file with many fans and settings, which names what they share once,
/// as campaign_template() shows it. Sections are as in a survey; [air], [room], [plan] and [seat]
/// may also stand under a setting, in place of those that all share.
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
