#pragma once

#include "render/pages/page.hpp"
#include "render/pages/survey_page.hpp"
#include "sweepflux/judge/survey_result.hpp"

namespace sweepflux::render {

/// The older rating by rings beside the map's flow, and why the two differ; nothing when the rule
/// cannot be applied.
void add_ring_rating(Page& page, const SurveyResult& result);
/// Readings without a value, readings under the starting speed, readings far from the others,
/// remarks of the readers: by file and line.
void add_left_out(Page& page, const SurveyResult& result);
/// The command, rig, probe and air as the survey states them, defaults, method.
void add_how_to_repeat(Page& page, const SurveyResult& result, const PageOptions& options);
/// What the page does not promise, and which program made it.
void add_footer(Page& page, const PageOptions& options);

}  // namespace sweepflux::render
