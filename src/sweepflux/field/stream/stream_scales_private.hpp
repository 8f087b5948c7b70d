#pragma once

#include "sweepflux/field/stream/plane_readings_private.hpp"
#include "sweepflux/field/stream/stream_posterior.hpp"

#include <vector>

namespace sweepflux {

/// What the prior is given, from the survey: units of the stream, and how far the room may drift.
[[nodiscard]] StreamScales scales_of(const std::vector<PlaneSamples>& planes,
                                     const Outlet& outlet,
                                     const PosteriorOptions& options);

/// A statistic that changes sign when the planes are mirrored about the outlet's middle.
[[nodiscard]] bool leans_left(const std::vector<PlaneSamples>& planes);

}  // namespace sweepflux
