#pragma once

#include "sweepflux/judge/survey_result.hpp"

#include <string>
#include <vector>

namespace sweepflux {

/// What a reader should know first of a survey, one sentence each: flow and momentum flux of every
/// plane (of the nearest and the furthest when there are more than three), growth, what the balance
/// says of it, the largest uncertainty, what to do next. Plain typing: " +- ", "m3/s".
[[nodiscard]] std::vector<std::string> survey_summary(const SurveyResult& result);

/// The most informative next sweep, as every output names it: where, and the standard uncertainty of
/// that plane's momentum flux before and after, or that it hardly changes. Empty: there is none.
[[nodiscard]] std::string next_sweep_text(const SurveyResult& result);

}  // namespace sweepflux
