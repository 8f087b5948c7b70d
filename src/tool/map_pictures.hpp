#pragma once

#include "sweepflux/base/interrupt.hpp"
#include "sweepflux/judge/survey_result.hpp"
#include "sweepflux/record/folder.hpp"

namespace sweepflux::tool {

/// Draws what `map` found, each picture as PNG and SVG: plane-<distance>m, the same with
/// -uncertainty and -budget, profiles, along-the-stream, and from two planes on from-the-side and
/// from-above; then report.html with all of them inside.
///
/// @param command  that makes these results again, for the page
/// @param threads  at most; 0: as many as the machine has
/// @throws Interrupted  progress.stop_wanted said so
void add_map_pictures(const SurveyResult& result,
                      const std::string& command,
                      int threads,
                      ResultFolder& folder,
                      const Progress& progress);

}  // namespace sweepflux::tool
