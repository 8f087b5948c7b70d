#pragma once

#include "sweepflux/integrate/known_stream.hpp"
#include "sweepflux/judge/survey_result.hpp"

#include <string>
#include <vector>

namespace sweepflux {

/// Why the whole plane has no answer; empty when it has: most of the momentum lies outside the window
/// that was read, or its interval spans more than a factor of six.
[[nodiscard]] std::string reason_to_withhold(const PlaneResult& plane, const PlaneDraws& draws);

/// What a reader must know before the numbers of a plane: too few heights, a stream that the
/// sweeps do not bracket, several cores, a floor in the way, a large share extrapolated. One sentence
/// each, with what to do.
///
/// @param plane  its numbers and shape are known already
[[nodiscard]] std::vector<std::string> plane_caveats(const Survey& survey,
                                                     const PlaneSamples& samples,
                                                     const PlaneResult& plane,
                                                     const StreamPosterior* posterior);

}  // namespace sweepflux
