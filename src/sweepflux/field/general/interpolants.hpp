#pragma once

#include "sweepflux/base/geometry.hpp"
#include "sweepflux/field/general/method.hpp"

#include <span>
#include <string>
#include <vector>

namespace sweepflux {

/// Values at scattered places.
struct ScatteredValues {
  std::vector<PlanePoint> at;    ///< N places; equal ones are merged before use
  std::vector<double> value;     ///< N
  std::vector<double> noise_sd;  ///< N, or empty for exact values
};

/// What an interpolant says at the places asked for.
struct Interpolated {
  std::vector<double> value;       ///< not-a-number outside the hull for `linear`
  std::vector<double> variance;    ///< of the value; empty for methods that state none
  std::vector<std::string> notes;  ///< what a reader must know: fitted ranges, overshoot, ...
};

/// The simpler alternatives to the default recipe, so that a user can see how much the choice
/// matters: kriging, linear, thin plate, inverse distance.
///
/// Row order never matters. Places in one line are refused for linear and thin plate. Kriging
/// filters the noise_sd out; the other three meet every value exactly. All values equal: that
/// value, with a note that its uncertainty cannot be estimated.
///
/// @throws InputError      sizes differ, a number is not finite, or Method::automatic
/// @throws NumericalError  the places lie in one line, or N is too large for a dense solve
[[nodiscard]] Interpolated interpolate(const ScatteredValues& values,
                                       std::span<const PlanePoint> wanted,
                                       Method method);

}  // namespace sweepflux
