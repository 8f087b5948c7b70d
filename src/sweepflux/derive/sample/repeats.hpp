#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace sweepflux {

struct Sample;

/// How much whole sweeps differ from their repeats: drift of the fan, a probe set up anew.
struct SweepGains {
  double sd = 0.01;           ///< relative standard deviation of a sweep's gain
  double freedom = 0.0;       ///< degrees of freedom behind sd; 0: the default
  std::vector<double> gain;   ///< each sweep against the mean of its repeats; 1 where alone
};

/// Compares sweeps at equal height of one plane, by their sums of speed over common positions.
/// The noise of the readings is taken off the scatter of the gains; the default (0.01, common
/// practice, no published source) weighs as much as one repeat.
///
/// @param samples  of one plane, by sweep, then position
/// @param heights_m  of each sweep; within 2 mm they are repeats
[[nodiscard]] SweepGains find_sweep_gains(std::span<const Sample> samples,
                                          std::span<const double> heights_m);

}  // namespace sweepflux
