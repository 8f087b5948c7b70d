#pragma once

#include "sweepflux/field/general/method.hpp"
#include "sweepflux/field/stream/reconstruct_private.hpp"
#include "sweepflux/integrate/flux_private.hpp"

namespace sweepflux {

/// A plane by one of the simpler methods: the window only, nothing beyond; censored readings count
/// as nought, as the probe showed them. Negative speeds are cut to nought and counted. The doubt is
/// the delete-one-height jack-knife [Efron 1982], which needs three heights.
struct AlternativeField {
  PlaneFlux flux;
  Nodes nodes;
  PlaneField frame;             ///< for the map: no parts
  double negative_share = 0.0;  ///< of the window's area where the method fell below nought
  double negative_least_m_s = 0.0;
  bool doubt_known = false;
};

/// @throws NumericalError  the method cannot use these places (all on one line, ...)
[[nodiscard]] AlternativeField map_by(Method method, const PlaneSamples& samples);

/// Speed of that method on a grid of places.
[[nodiscard]] std::vector<double> speeds_by(Method method,
                                            const PlaneSamples& samples,
                                            const std::vector<PlanePoint>& at);

}  // namespace sweepflux
