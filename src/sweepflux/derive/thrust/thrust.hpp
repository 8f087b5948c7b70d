#pragma once

#include "sweepflux/base/measured.hpp"
#include "sweepflux/capture/survey/survey.hpp"

#include <string>
#include <vector>

namespace sweepflux {

/// Scatter taken for a single reading, of the reading; common practice, no published source.
inline constexpr double lone_scatter = 0.01;

/// Thrust as the balance measures it.
struct Thrust {
  Estimate thrust_n;
  double zero_drift_n = 0.0;         ///< at the scale, after minus before
  std::vector<std::string> remarks;  ///< drift stated, resolution dominant, ...
};

/// Balance readings to thrust: zero taken off (linear between before and after, readings even in
/// time), lever ratio, resolution, scatter of the repeats (Student's t with effective degrees of
/// freedom [JCGM 100, G.4.1]).
///
/// Readings are forces already: where the survey states a local gravity, the reader has turned
/// masses into newtons by it. A scale that no zero was read on counts as tared.
///
/// The thrust's standard uncertainty holds scatter / sqrt(n), resolution / sqrt(12) of a reading
/// (not averaged away) and of the zeros, the drift as if it could have come at any time
/// (drift / sqrt(12)), and the lever's. A single reading gets a scatter of 1 % or one step.
///
/// @throws InputError  no readings; a field out of its range; readings not above the zero; a drift
///                     of the zero above a tenth of the thrust
[[nodiscard]] Thrust derive_thrust(const Balance& balance);

}  // namespace sweepflux
