#pragma once

#include "sweepflux/field/stream/plane_readings_private.hpp"
#include "sweepflux/field/stream/population_sampler.hpp"

#include <functional>
#include <vector>

namespace sweepflux {

/// Means of all planes' readings under a stream: of each plane's rows, then of its censored ones.
using StreamMeans = std::function<std::vector<double>(const SurveyStream& stream)>;

/// Streams to search on from: many cores are drawn from the prior, and those are put together whose
/// sum, each at its best strength, is the likeliest in least squares [matching pursuit, Mallat &
/// Zhang 1993; pairs are tried one and all].
///
/// @return vectors of the prior, the likeliest first, no two alike
[[nodiscard]] std::vector<std::vector<double>> pursue_cores(
    const StreamPrior& prior,
    const std::vector<PlaneReadings>& readings,
    const StreamMeans& means,
    Dice& dice);

}  // namespace sweepflux
