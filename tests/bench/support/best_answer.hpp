#pragma once

#include "sweepflux/capture/survey.hpp"
#include "tests/bench/support/stream_population.hpp"
#include "tests/support/make_survey.hpp"

#include <cstdint>

namespace sweepflux::bench {

/// What one quantity is, for whoever knows the population.
struct Posterior {
  double median = 0.0;
  double low_95 = 0.0;
  double high_95 = 0.0;
  double halves_apart = 0.0;  ///< medians of the chain's halves, over the standard deviation
};

struct BestAnswer {
  Posterior volume_flow_m3_s;
  Posterior momentum_over_density_m4_s2;
};

/// The answer of Bayes' rule to a straight traverse at 1.8 m for one who is told how the stream was
/// drawn, how large the noise is and where the rotor stops. Over many draws of the population no
/// method has a smaller mean |error| than its median [Robert 2007, 2.5], and its interval holds
/// the truth in 95 % of cases. By random-walk Metropolis from the truth itself, which is one draw
/// of the very posterior, so that there is no beginning to throw away.
///
/// @param fan_off_sd_m_s  of the drift that the survey states; 0: not read
[[nodiscard]] BestAnswer best_answer(const StreamPopulation& population,
                                     const Numbers& truth,
                                     const Survey& survey,
                                     const test::SurveyPlan& plan,
                                     double fan_off_sd_m_s,
                                     int steps,
                                     std::uint64_t seed);

}  // namespace sweepflux::bench
