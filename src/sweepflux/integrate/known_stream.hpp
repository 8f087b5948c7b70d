#pragma once

#include "sweepflux/base/interrupt.hpp"
#include "sweepflux/capture/survey/survey.hpp"
#include "sweepflux/derive/sample/answerable.hpp"
#include "sweepflux/field/stream/stream_posterior.hpp"
#include "sweepflux/integrate/plane_draws.hpp"

#include <vector>

namespace sweepflux {

/// All that is known of a survey's stream: its planes, the draws of the posterior and their
/// integrals. `map` and `plan` work from the same one, so they name the same next sweep.
struct KnownStream {
  std::vector<PlaneSamples> planes;  ///< swept or wished, nearest first; a wished one has no samples
  StreamPosterior posterior;
  std::vector<PlaneDraws> draws;     ///< a plane
  SamplerReport sampler;

  [[nodiscard]] bool swept(std::size_t plane) const { return !planes[plane].samples.empty(); }
};

struct KnowOptions {
  int threads = 0;
  double expected_speed_m_s = 0.0;  ///< peak at the first plane, used where nothing was read
  Silent silent = Silent::allowed;
};

/// Corrects the readings, adds the planes of `wished_m` that have none, samples the posterior and
/// integrates its draws.
///
/// @param wished_m  distances as in the survey
/// @throws InputError      as derive_answerable_samples
/// @throws NumericalError  as derive_answerable_samples
/// @throws Interrupted     the user stopped it
[[nodiscard]] KnownStream know_stream(const Survey& survey,
                                      const std::vector<double>& wished_m,
                                      const KnowOptions& options,
                                      const Progress& progress = {});

}  // namespace sweepflux
