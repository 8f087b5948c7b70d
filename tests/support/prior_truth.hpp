#pragma once

#include "sweepflux/derive/sample/samples.hpp"
#include "sweepflux/field/stream/stream_posterior.hpp"
#include "sweepflux/integrate/plane_draws.hpp"

#include <cstdint>
#include <vector>

namespace sweepflux::test {

/// Peak that prior truths are scaled to; PosteriorOptions::prior_speed_m_s of their calibration.
inline constexpr double prior_truth_speed_m_s = 3.0;

/// A stream drawn from the model's own prior, and what a vane reads of it in each plane.
struct PriorTruth {
  StreamPosterior stream;  ///< one draw: the truth
  std::vector<PlaneSamples> planes;
  std::vector<Triple> exact;
};

/// Draws streams until one moves the vane in at least ten places: a rule about readings alone, so it
/// does not bend the calibration.
///
/// @param heights  in each plane, even over 0.42 m to either side of the outlet's middle at 1.8 m,
///                 as far in proportion elsewhere
[[nodiscard]] PriorTruth draw_prior_truth(const Outlet& outlet, int heights, std::uint64_t seed,
                                          const std::vector<double>& distances_m = {1.8});

/// Reads the truth's planes anew: another residual, other errors of each sweep, other noise.
void measure_again(PriorTruth& truth, std::uint64_t seed);

/// A round outlet of 0.3 m and a slot of 0.06 m x 0.8 m, 0.9 m high.
[[nodiscard]] Outlet round_outlet();
[[nodiscard]] Outlet slot_outlet();

/// Where the truth stands among draws, 0 to 1: even over truths of the prior when all is well
/// [Talts 2018].
[[nodiscard]] double rank_of(double truth, const std::vector<double>& draws);

/// Pearson's sum over `bins` even bins of ranks; of a chi-square distribution with bins - 1 degrees
/// of freedom when ranks are even.
[[nodiscard]] double chi_square(const std::vector<double>& ranks, int bins);

}  // namespace sweepflux::test
