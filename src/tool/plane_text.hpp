#pragma once

#include "sweepflux/judge/survey_result.hpp"

#include <string>

namespace sweepflux::tool {

/// The plane at that distance in a few lines, and the best next sweep.
[[nodiscard]] std::string running_plane_text(const SurveyResult& result, double distance_m);

}  // namespace sweepflux::tool
