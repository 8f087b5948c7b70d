#pragma once

#include "sweepflux/capture/survey/survey.hpp"
#include "tests/bench/support/stream_population.hpp"
#include "tests/support/make_survey.hpp"

#include <cstdint>

namespace sweepflux::bench {

/// What one quantity is, for whoever knows the population.
struct Posterior {
  double median = 0.0;
  double low_95 = 0.0;
  double high_95 = 0.0;
  double sd = 0.0;            ///< the interval's half width over 1.96
  double halves_apart = 0.0;  ///< medians of the chain's halves, over the standard deviation
};

struct BestAnswer {
  Posterior volume_flow_m3_s;
  Posterior momentum_over_density_m4_s2;
};

/// The answer of Bayes' rule to a straight traverse at 1.8 m for one who knows how the stream was
/// drawn, how large the noise is and where the rotor stops. Over many draws of the population no
/// method has a smaller mean |error| than its median [Robert 2007, 2.5], and its interval holds
/// the truth in 95 % of cases. By random-walk Metropolis from the truth itself, which is one draw
/// of the very posterior, so that there is no beginning to throw away.
///
/// @param plan  how it was measured; a fan-off speed in it tells of the drift, with its uncertainty
/// @param steps  of the chain, 40 at least
[[nodiscard]] BestAnswer best_answer(const StreamPopulation& population,
                                     const Numbers& truth,
                                     const Survey& survey,
                                     const test::SurveyPlan& plan,
                                     int steps,
                                     std::uint64_t seed);

}  // namespace sweepflux::bench
