#pragma once

#include "sweepflux/derive/sample/samples.hpp"

#include <vector>

namespace sweepflux {

/// Planes without a reading above the probe's starting speed: no map can be made of one, but a plan
/// learns from it where the stream is not.
enum class Silent { refused, allowed };

/// derive_samples, of planes that have an answer: each was read at two angles or more, and above
/// the probe's starting speed somewhere unless `silent` allows less.
///
/// @throws InputError      as derive_samples
/// @throws NumericalError  names the plane, and what to do
[[nodiscard]] std::vector<PlaneSamples> derive_answerable_samples(const Survey& survey,
                                                                  Silent silent,
                                                                  int threads);

}  // namespace sweepflux
