#pragma once

#include "sweepflux/derive/sample/samples.hpp"
#include "sweepflux/integrate/known_stream.hpp"
#include "sweepflux/judge/survey_result.hpp"

#include <vector>

namespace sweepflux {

/// Of the head's second-order correction, relative; common practice, no published source.
inline constexpr double head_uncertainty = 0.3;

/// Errors that all planes of a survey share, one a draw of the posterior: standard normal scores,
/// each of the n quantiles once, in an order of their own.
struct CommonDraws {
  std::vector<double> scale, density, head;
};
[[nodiscard]] CommonDraws common_draws(std::size_t count);

/// Flow, momentum and power of a plane with every uncertainty in them.
struct BudgetedPlane {
  std::vector<double> flow_m3_s, momentum_flux_n, power_w;     ///< a draw
  std::vector<double> inside_flow_m3_s, inside_momentum_flux_n;  ///< the window that was read; maybe none
  std::vector<BudgetRow> rows;  ///< largest share of the momentum first; squares add up
};

/// Joins the draws of the stream with the errors that all readings share and that the model does not
/// hold (probe scale, density, distance, head), and splits the variance: what each of those adds,
/// then of the rest in turn what goes with the number of cores, the offset and the room's drift, and
/// what is left.
[[nodiscard]] BudgetedPlane make_budget(const StreamPosterior& posterior,
                                        const PlaneDraws& draws,
                                        const CommonDraws& common,
                                        const PlaneSamples& samples,
                                        bool swivel,
                                        const Measured& density_kg_m3);

/// Momentum of the stream from all swept planes, weighted by the inverse of their draws' covariance
/// [JCGM 102, 7], whether it is constant, and how the stream grows: straight lines through the
/// planes, one a draw.
///
/// @param budgets  a plane of `known`; planes without sweeps are passed over
[[nodiscard]] StreamSummary summarise_stream(const KnownStream& known,
                                             const std::vector<BudgetedPlane>& budgets,
                                             double density_kg_m3);

}  // namespace sweepflux
