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

/// Heights of a plane that were swept, each once, rising.
[[nodiscard]] std::vector<double> swept_heights_m(const PlaneSamples& plane);

/// A plane that nobody swept: what the survey says of it but for the ambient speed's uncertainty,
/// which comes with the first reading.
[[nodiscard]] PlaneSamples plane_without_samples(const Survey& survey, double distance_m);

}  // namespace sweepflux
