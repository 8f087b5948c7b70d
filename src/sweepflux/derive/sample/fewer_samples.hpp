#pragma once

#include "sweepflux/derive/sample/samples.hpp"

#include <cstddef>

namespace sweepflux {

/// The same plane with about `most` samples: neighbours along a sweep that share a cell are
/// averaged, equal weights, so that an exact fit stays within reach. A cell is a share of the
/// sweep's own positions, as many readings in each; censored and other readings are never mixed.
/// The noise of a mean of n is that of its readings over sqrt(n); what the sweep has in common
/// stays apart and is not averaged down. `line` is that of a cell's middle reading; counts of
/// readings stay those of the sweeps.
///
/// Error: a cell of width d bends a profile of half width r by about 0.06 (d/r)^2 of its peak
/// (Gaussian: ln2 d^2 / (12 r^2)). Cost: O(N).
///
/// @return the plane as it is when it has no more than `most` samples
/// @throws InputError  more than most / 4 sweeps: fewer than four cells would be left for each
[[nodiscard]] PlaneSamples fewer_samples(const PlaneSamples& plane, std::size_t most);

/// Few enough in all for one exact solve of the planes together: 3000, shared evenly.
/// @throws InputError  as above
[[nodiscard]] std::vector<PlaneSamples> fewer_samples(const std::vector<PlaneSamples>& planes);

}  // namespace sweepflux
