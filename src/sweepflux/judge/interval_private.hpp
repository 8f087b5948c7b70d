#pragma once

#include "sweepflux/base/measured.hpp"

namespace sweepflux {

/// 95 % interval of a positive quantity: log-normal about its value, which is value +- 1.96 u while
/// u is small against it, and never reaches below nought when it is not. Few degrees of freedom
/// widen it by Student's t.
[[nodiscard]] Estimate estimate_of(double value, double standard_uncertainty, double degrees = 1e6);

/// The same where with the probability `share` not it but `other` is true. The value stays; the
/// standard uncertainty is the root of the mean square about it; below the interval and above it
/// lies 2.5 % each of both distributions together [JCGM 101, 7.7], so that it reaches farther to
/// the other's side.
///
/// @param estimate  value > 0
/// @param share     0 <= share < 1
[[nodiscard]] Estimate estimate_of_either(const Estimate& estimate,
                                          const Estimate& other,
                                          double share,
                                          double degrees = 1e6);

}  // namespace sweepflux
