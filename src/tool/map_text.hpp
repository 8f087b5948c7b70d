#pragma once

#include "sweepflux/judge/survey_result.hpp"

#include <string>

namespace sweepflux::tool {

/// What `map` says to a person, plain text of at most 100 columns where words allow it: warnings
/// first, then each plane's flow, momentum and power with their uncertainty, the summary against
/// the balance, the best next sweep, and what was left out and why.
[[nodiscard]] std::string map_text(const SurveyResult& result);

/// The plane at that distance in a few lines, and the best next sweep.
[[nodiscard]] std::string running_plane_text(const SurveyResult& result, double distance_m);

}  // namespace sweepflux::tool
