#pragma once

#include "sweepflux/derive/sample/samples.hpp"
#include "sweepflux/field/general/method.hpp"
#include "sweepflux/integrate/plane_draws.hpp"
#include "sweepflux/integrate/plane_map.hpp"

namespace sweepflux {

/// A plane by one of the general interpolators: the window only, nothing beyond; censored readings
/// count as zero, as the probe showed them. Negative speeds are cut to zero and counted. The
/// uncertainty is the delete-one-height jack-knife [Efron 1982], which needs three heights.
struct AlternativePlane {
  PlaneMap map;                 ///< speeds; no uncertainty
  Triple value{};
  Triple uncertainty{};         ///< as large as the value where it is not known
  double negative_share = 0.0;  ///< of the window's area where the method fell below zero
  double negative_least_m_s = 0.0;
  bool uncertainty_known = false;
};

/// @param step_m  of the map; 0: a hundredth of the window's width
/// @throws NumericalError  the method cannot use these places (all on one line, ...)
[[nodiscard]] AlternativePlane map_by(Method method, const PlaneSamples& samples, double step_m);

}  // namespace sweepflux
