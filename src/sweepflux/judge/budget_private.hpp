#pragma once

#include "sweepflux/derive/sample/samples.hpp"
#include "sweepflux/integrate/flux_private.hpp"
#include "sweepflux/judge/survey_result.hpp"

namespace sweepflux {

/// Flow, momentum and power of a plane with every doubt in them.
struct BudgetedFlux {
  Estimate volume_flow_m3_s;
  Estimate momentum_flux_n;
  Estimate kinetic_power_w;
  std::vector<BudgetRow> rows;  ///< largest share of the momentum first
};

/// What a probe head of this diameter takes from the integrals by averaging over its face, to
/// second order: M = M_b + (d^2/16) int |grad u|^2, P = P_b + (3 d^2/32) int u |grad u|^2, flow
/// untouched; from the mean over a disc, u_b = u + (d^2/32) lap u, by parts.
[[nodiscard]] Triple head_correction(const Nodes& nodes, const Array& mean, double diameter_m);

/// Of a room that was not read with the fan off: that it is not at rest. An assumption, no
/// published source; how far it may drift: drift_of_room_m_s.
inline constexpr double drift_probability = 0.5;

/// Joins the field's own doubt with the errors that all readings share (scale, offset, ambient
/// drift, distance, density, head size), each by its rule in derive/samples.hpp [JCGM 100, 5.1].
/// The values hold for a room at rest, or as it was read; where it was not, the intervals are of
/// both: at rest, or drifting.
[[nodiscard]] BudgetedFlux make_budget(const PlaneFlux& flux,
                                       const Triple& head,
                                       const PlaneSamples& samples,
                                       bool swivel,
                                       const Measured& density_kg_m3);

}  // namespace sweepflux
