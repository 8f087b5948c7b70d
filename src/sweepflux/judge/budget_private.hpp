#pragma once

#include "sweepflux/derive/samples.hpp"
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

/// The fan itself stirs the air of its room; where it was not read with the fan off, so much doubt
/// stays beyond what the fit allows for a room at rest (it takes fat-tailed jets for drift if it
/// allows more). An assumption, chosen on known fields; no published source.
inline constexpr double stirred_air_m_s = 0.02;

/// Joins the field's own doubt with the errors that all readings share (scale, offset, ambient
/// drift, distance, density, head size), each by its rule in derive/samples.hpp [JCGM 100, 5.1].
[[nodiscard]] BudgetedFlux make_budget(const PlaneFlux& flux,
                                       const Triple& head,
                                       const PlaneSamples& samples,
                                       bool swivel,
                                       const Measured& density_kg_m3);

/// 95 % interval of a positive quantity: log-normal about its value, which is value +- 1.96 u while
/// u is small against it, and never reaches below nought when it is not. Few degrees of freedom
/// widen it by Student's t.
[[nodiscard]] Estimate estimate_of(double value, double standard_uncertainty, double degrees = 1e6);

}  // namespace sweepflux
