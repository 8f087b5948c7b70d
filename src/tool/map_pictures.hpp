#pragma once

#include "sweepflux/base/interrupt.hpp"
#include "sweepflux/judge/survey_result.hpp"
#include "sweepflux/record/folder.hpp"

namespace sweepflux::tool {

/// Draws what `map` found: each plane's speed (PNG and SVG) and its uncertainty (PNG), on scales
/// that all planes share, and report.html with the pictures inside.
///
/// @param folder   gets the files; those that it holds already are named on the page
/// @param command  that makes these results again, for the page
/// @throws Interrupted  progress.stop_wanted said so
void add_map_pictures(const SurveyResult& result,
                      const std::string& command,
                      ResultFolder& folder,
                      const Progress& progress);

}  // namespace sweepflux::tool
