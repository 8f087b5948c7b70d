#pragma once

#include "sweepflux/judge/survey_result.hpp"

namespace sweepflux::test {

/// A result written by hand: every field of SurveyResult holds something, so that nothing that is
/// written and read back can be forgotten. Two planes with maps of their own size; the numbers are
/// no measurement.
[[nodiscard]] SurveyResult made_result();

}  // namespace sweepflux::test
