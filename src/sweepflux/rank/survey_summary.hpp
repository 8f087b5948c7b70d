#pragma once

#include "sweepflux/judge/survey_result.hpp"

#include <string>
#include <vector>

namespace sweepflux {

/// What a reader should know first of a survey, one sentence each: flow and momentum flux of every plane (of
/// the nearest and the furthest when there are more than three), growth, what the balance says of
/// it, the largest uncertainty, what to do next. Plain typing: " +- ", "m3/s".
[[nodiscard]] std::vector<std::string> survey_summary(const SurveyResult& result);

}  // namespace sweepflux
