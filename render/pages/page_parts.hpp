#pragma once

#include "render/pages/page.hpp"
#include "render/pages/survey_page.hpp"
#include "sweepflux/base/measured.hpp"
#include "sweepflux/judge/survey_result.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace sweepflux::render {

/// "0.613 +- 0.031 m3/s" in print.
[[nodiscard]] std::string with_doubt(const Estimate& estimate, std::string_view unit);
[[nodiscard]] std::string with_doubt(const Measured& measured, std::string_view unit);
/// "95 %: 0.55 to 0.67"
[[nodiscard]] std::string interval_words(const Estimate& estimate);
/// Value and uncertainty as two cells, both times `scale`.
void add_estimate(std::vector<std::string>& row, const Estimate& estimate, double scale = 1.0);
void add_measured(std::vector<std::string>& row, const Measured& measured, double scale = 1.0);
/// Each text through pretty().
[[nodiscard]] std::vector<std::string> pretty_all(const std::vector<std::string>& texts);

/// The older rating by rings beside the map's flow, and why the two differ; nothing when the rule
/// cannot be applied.
void add_ring_rating(Page& page, const SurveyResult& result);
/// Readings without a value, readings under the starting speed, readings far from the others,
/// remarks of the readers: by file and line.
void add_left_out(Page& page, const SurveyResult& result);
/// The command, the sweeps, the rig, probe and air as they were told, defaults, method.
void add_how_to_repeat(Page& page, const SurveyResult& result, const PageOptions& options);
/// What the page does not promise, and which program made it.
void add_footer(Page& page, const PageOptions& options);

}  // namespace sweepflux::render
