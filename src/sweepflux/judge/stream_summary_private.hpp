#pragma once

#include "sweepflux/integrate/known_stream.hpp"
#include "sweepflux/judge/budget_private.hpp"

namespace sweepflux {

/// Momentum of the stream from all swept planes, weighted by the inverse of their draws' covariance
/// [JCGM 102, 7], whether it is constant, and how the stream grows: straight lines through the
/// planes, one a draw.
///
/// @param budgets  a plane of `known`; planes without sweeps are passed over
[[nodiscard]] StreamSummary summarise_stream(const KnownStream& known,
                                             const std::vector<BudgetedPlane>& budgets,
                                             double density_kg_m3);

}  // namespace sweepflux
