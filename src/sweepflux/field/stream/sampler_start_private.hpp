#pragma once

#include "sweepflux/field/stream/population_sampler.hpp"

#include <vector>

namespace sweepflux {

/// A draw of the distribution that a population starts from: the target's normals and the prior.
[[nodiscard]] std::vector<double> draw_start(const SamplerTarget& target, Dice& dice);

/// Logarithm of that distribution's density over the prior's.
[[nodiscard]] double log_start_ratio(const SamplerTarget& target, const std::vector<double>& z);

}  // namespace sweepflux
