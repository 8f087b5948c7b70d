#pragma once

#include "sweepflux/judge/survey_result.hpp"
#include "tests/support/known_fields.hpp"

namespace sweepflux::test {

/// Relative error of a plane's momentum against the field that was measured.
inline double momentum_error(const KnownField& field,
                             const SurveyResult& result,
                             const PlaneResult& plane) {
  const double exact = field.exact(plane.downstream_m).momentum_over_density_m4_s2;
  return plane.momentum_flux_n.value / (exact * result.density_kg_m3.value) - 1.0;
}

}  // namespace sweepflux::test
