#pragma once

#include "sweepflux/capture/survey/survey.hpp"

#include <filesystem>

namespace sweepflux {

/// How strictly a survey is read.
struct ReadOptions {
  bool sweeps_required = true;  ///< false for `plan`: a survey may have none yet
  int most_findings = 50;       ///< >= 1; reading gives up after so many
};

/// Reads a survey: one TOML file, and every CSV sweep that it names.
///
/// The readings come back as recorded: units of the file turned into SI, nothing corrected,
/// nothing dropped, each with the line that it stood on.
///
/// @param survey_file  the TOML file; sweeps are looked for beside it
/// @throws InputError   an option is out of range
/// @throws SurveyError  with *every* fault found, in the order of the files
[[nodiscard]] Survey read_survey(const std::filesystem::path& survey_file,
                                 const ReadOptions& options = {});

}  // namespace sweepflux
