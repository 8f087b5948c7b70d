#pragma once

#include "sweepflux/field/stream/mean_shapes_private.hpp"

#include <functional>
#include <vector>

namespace sweepflux {

/// Distance of the outer points along an axis, in standard deviations of a Gaussian posterior, and
/// their weight: they give its mean and variance, and the third and fourth moments along the axis
/// too (three-point Gauss-Hermite rule).
inline constexpr double outer_point = 1.7320508075688772;
inline constexpr double outer_weight = 1.0 / 6.0;

/// A posterior of few parameters as its centre and two points along each principal axis, set not
/// where a Gaussian would have them but where the posterior itself has fallen by exp(-3/2): so the
/// reach of each kind of change is the real one, to either side. Nothing random: the same readings
/// give the same points, a tiny change gives a tiny change, a mirrored survey mirrored points.
///
/// @param residuals  half their squares summed is the negative log posterior, up to a constant
/// @param scale      of each parameter, > 0: axes are sought in parameters over scale
/// @return           centre first, then the two outer points of each axis
[[nodiscard]] std::vector<Vector> spread_posterior(
    const std::function<Vector(const Vector&)>& residuals,
    const Vector& start,
    const Vector& scale,
    const Vector& lower,
    const Vector& upper);

/// The same for a guess: centre and both sides along each parameter.
[[nodiscard]] std::vector<Vector> spread_guess(const Vector& centre,
                                               const Vector& sd,
                                               const Vector& lower,
                                               const Vector& upper);

/// Posterior mean from values at the points, a column each: the rule's weights.
[[nodiscard]] Vector mean_over_points(const Matrix& values);

/// Columns whose products summed are the covariance that doubt of the shape brings; none for one
/// point.
[[nodiscard]] Matrix departures_over_points(const Matrix& values);

}  // namespace sweepflux
