#pragma once

#include "sweepflux/field/stream/population_sampler.hpp"

#include <cstddef>
#include <span>
#include <vector>

namespace sweepflux {

/// One step of a tempered population.
struct TemperingStep {
  double rise = 0.0;                 ///< of the power
  double log_mean_weight = 0.0;      ///< what it adds to the log evidence
  std::vector<std::size_t> parents;  ///< of each particle after it
};

/// Raises the power as far as enough effective particles stay, and resamples [systematic, Kitagawa
/// 1996], in random order: the halves of a population must be alike.
///
/// @param log_ratio  of target to start, of each particle
/// @param left       most that the power may rise
/// @param keep       share of effective particles to stay
[[nodiscard]] TemperingStep temper(std::span<const double> log_ratio,
                                   double left,
                                   double keep,
                                   Dice& dice);

}  // namespace sweepflux
