#pragma once

#include "sweepflux/base/measured.hpp"
#include "sweepflux/capture/survey.hpp"

#include <string>
#include <vector>

namespace sweepflux {

/// Thrust as the balance tells it.
struct Thrust {
  Estimate thrust_n;
  double zero_drift_n = 0.0;         ///< at the scale, after minus before
  std::vector<std::string> remarks;  ///< drift stated, resolution dominant, ...
};

/// Balance readings to thrust: zero taken off (linear between before and after), lever ratio,
/// resolution, scatter of the repeats (Student's t for few), ratio of the lever.
///
/// @throws InputError  no readings, or a drift of the zero above a tenth of the thrust
[[nodiscard]] Thrust derive_thrust(const Balance& balance);

}  // namespace sweepflux
