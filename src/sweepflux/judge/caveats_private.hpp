#pragma once

#include "sweepflux/field/stream/reconstruct_private.hpp"
#include "sweepflux/integrate/flux_private.hpp"
#include "sweepflux/integrate/shape.hpp"
#include "sweepflux/judge/survey_result.hpp"

#include <string>
#include <vector>

namespace sweepflux {

/// What a reader must know before the numbers of a plane: too few heights, a stream that the
/// sweeps do not bracket, a peak at the border, several cores, a floor in the way, a large share
/// inferred. One sentence each, with what to do.
[[nodiscard]] std::vector<std::string> plane_caveats(const Survey& survey,
                                                     const PlaneSamples& samples,
                                                     const PlaneField& field,
                                                     const PlaneFlux& flux,
                                                     const StreamShape& shape);

}  // namespace sweepflux
