#pragma once

#include "sweepflux/field/stream/reconstruct_private.hpp"
#include "sweepflux/plan/stream_guess.hpp"

#include <vector>

namespace sweepflux {

/// The field of a stream only guessed: one candidate shape through all distances, its size, place
/// and form as unsure as a guess is (centre half a half width, size 40 %, speed 30 %), and a
/// residual process of 15 % of the peak. What a sweep would tell is then asked of it as of a
/// fitted field.
[[nodiscard]] SurveyField prior_field(const Survey& survey, const std::vector<StreamGuess>& planes);

}  // namespace sweepflux
