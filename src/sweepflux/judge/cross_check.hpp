#pragma once

#include "sweepflux/base/measured.hpp"
#include "sweepflux/judge/survey_result.hpp"

#include <vector>

namespace sweepflux {

/// Difference by the uncertainty of both, (a - b) / sqrt(U_a^2 + U_b^2), with U the half of the 95 %
/// interval that faces the other value [ISO 13528]. Up to 1 in size is agreement.
[[nodiscard]] double normalised_error(const Estimate& a, const Estimate& b);

/// One momentum flux against the thrust, without explanations; distance 0.
[[nodiscard]] CrossCheck check_momentum(const Estimate& momentum_flux_n, const Estimate& thrust_n);

/// Momentum of the mean speed in each plane against the thrust of the balance, and what could
/// explain a gap.
///
/// Each candidate states by how much of the thrust it could shift the ratio in each plane, low to
/// high: turbulence, room, swirl, scale, offset, head, response, starting speed, outer region, rows, lag,
/// balance. Its weight is the share of the gaps' chi square, over all planes, that goes away when
/// it acts at one strength in all of them, less when what is left is more than chance; so the run
/// of the ratio along the stream decides: the same in all planes speaks for the scale, falling for
/// room, outer region or starting speed, rising for swirl, hub or head. Best first; the last entry names
/// those set aside. When all is well there is one entry: that they agree, and what was neglected.
///
/// Nothing is added to the momentum: a correction is for the reader to make, with its range.
///
/// @param planes    with finite momentum; others get no entry
/// @param thrust_n  > 0
/// @return          one entry a plane, in their order
/// @param head_corrected  the maps are free of the smoothing by the probe's head: it explains nothing
/// @throws InputError  the thrust is not above zero
[[nodiscard]] std::vector<CrossCheck> cross_check(const std::vector<PlaneResult>& planes,
                                                  const Estimate& thrust_n,
                                                  const Survey& survey,
                                                  bool head_corrected = false);

}  // namespace sweepflux
