#pragma once

#include "sweepflux/base/interrupt.hpp"
#include "sweepflux/judge/survey_result.hpp"
#include "sweepflux/record/folder.hpp"

namespace sweepflux::tool {

enum class Pictures { all, none };

/// All files of `map`: summary.json, planes.csv; for each plane plane-<distance>m.csv and .vti;
/// volume.vti when there are several planes; then the pictures and the page.
///
/// @param command  that makes these results again, for the page
/// @param threads  at most; 0: as many as the machine has
/// @throws Interrupted  progress.stop_wanted said so
void add_map_files(const SurveyResult& result,
                   Pictures pictures,
                   const std::string& command,
                   int threads,
                   ResultFolder& folder,
                   const Progress& progress = {});

}  // namespace sweepflux::tool
