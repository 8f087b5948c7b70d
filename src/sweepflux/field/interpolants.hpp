#pragma once

#include "sweepflux/base/geometry.hpp"
#include "sweepflux/field/method.hpp"

#include <span>
#include <vector>

namespace sweepflux {

/// Values at scattered places.
struct ScatteredValues {
  std::vector<PlanePoint> at;     ///< N places, no two equal
  std::vector<double> value;      ///< N
  std::vector<double> noise_sd;   ///< N, or empty for exact values
};

/// What an interpolant says at the places asked for.
struct Interpolated {
  std::vector<double> value;     ///< not-a-number outside the hull for `linear`
  std::vector<double> variance;  ///< of the value; empty for methods that state none
};

/// The simpler alternatives to the default recipe, so that a user can see how much the choice
/// matters: kriging, linear, thin plate, inverse distance.
///
/// Row order never matters. Places in one line are refused for linear and thin plate.
///
/// @throws InputError      sizes differ, or Method::automatic
/// @throws NumericalError  the places lie in one line, or N is too large for a dense solve
[[nodiscard]] Interpolated interpolate(const ScatteredValues& values,
                                       std::span<const PlanePoint> wanted,
                                       Method method);

}  // namespace sweepflux
