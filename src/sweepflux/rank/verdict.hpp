#pragma once

#include "sweepflux/judge/survey_result.hpp"

#include <string>
#include <vector>

namespace sweepflux {

/// What a reader should know first of a survey, one sentence each: air and push of every plane (of
/// the nearest and the furthest when there are more than three), growth, what the balance says of
/// it, the largest uncertainty, what to do next. Plain typing: " +- ", "m3/s".
[[nodiscard]] std::vector<std::string> survey_verdict(const SurveyResult& result);

}  // namespace sweepflux
