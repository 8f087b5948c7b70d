#pragma once

#include "sweepflux/base/interrupt.hpp"
#include "sweepflux/capture/survey/read_survey.hpp"
#include "sweepflux/derive/log/reduce_log.hpp"
#include "tool/session.hpp"

#include <filesystem>
#include <string>
#include <vector>

namespace sweepflux::tool {

/// A survey, ready to work with: its logs are reduced, those of sweeps and that of the balance.
struct ReadInput {
  Survey survey;
  std::vector<ReducedLog> logs;
};

enum class Logs { all, of_balance };

/// Reads a survey's file, or a campaign's, which gives a survey a setting.
///
/// @param setting  of a campaign: only this one, "heron-3" or "heron 3"; empty: all
/// @param logs     which of them are reduced; the others stay as the survey names them
/// @throws InputError, NumericalError, Interrupted  as read_survey, read_campaign_file, reduce_logs
///                      and reduce_balance_log; or there is no such setting
[[nodiscard]] std::vector<ReadInput> read_inputs(const std::filesystem::path& file,
                                                 const std::string& setting,
                                                 const ReadOptions& options,
                                                 const Progress& progress,
                                                 Logs logs = Logs::all);

/// The one survey of a file, or the one setting of a campaign that is named.
///
/// @throws  as read_inputs; InputError: a campaign of which no setting is named
[[nodiscard]] ReadInput read_input(const std::filesystem::path& file,
                                   const std::string& setting,
                                   const ReadOptions& options,
                                   const Progress& progress);

/// The file itself and its sweeps, which no result may be written over.
[[nodiscard]] std::vector<std::filesystem::path> files_of(const Survey& survey);

/// The options with the folder of one setting of a campaign: below --out, or below the usual one.
[[nodiscard]] CommonOptions options_for(CommonOptions options,
                                        const Survey& survey,
                                        const std::filesystem::path& usual);

inline constexpr const char* setting_words =
    "Of a campaign: only this setting, such as heron-3; else all";

}  // namespace sweepflux::tool
