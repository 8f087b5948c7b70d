#pragma once

#include "sweepflux/field/stream/survey_likelihood_private.hpp"
#include "sweepflux/field/stream/stream_posterior.hpp"

#include <optional>
#include <vector>

namespace sweepflux {

struct StreamPosterior::Parts {
  StreamScales scales;
  std::vector<PlanePoint> origin;                ///< of each plane
  std::vector<std::optional<double>> floor_m;
  std::vector<PlaneReadings> readings;
  bool mirrored = false;
  struct Draw {
    SurveyStream stream;
    std::vector<PlaneDraw> planes;
  };
  std::vector<Draw> draws;
  SamplerReport report;
};

}  // namespace sweepflux
