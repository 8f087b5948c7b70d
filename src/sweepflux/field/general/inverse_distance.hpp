#pragma once

#include "sweepflux/field/general/interpolants.hpp"

#include <span>
#include <vector>

namespace sweepflux {

/// Means of all values with weights 1 / distance^power [Shepard 1968]. Flat at every reading, and
/// drawn to the mean of all far away: kept for comparison. A wanted place at a reading gives that
/// reading.
///
/// @param values  merged(); noise_sd is not used
/// @param power   > 0
/// @throws InputError  power <= 0 or a wanted place that is not finite
///
/// Cost: N per value.
[[nodiscard]] std::vector<double> inverse_distance(const ScatteredValues& values,
                                                   std::span<const PlanePoint> wanted,
                                                   double power = 2.0);

}  // namespace sweepflux
