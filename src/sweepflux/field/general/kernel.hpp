#pragma once

namespace sweepflux {

/// How correlation falls with the distance h in units of the range, r = h / range.
enum class Kernel {
  exponential,  ///< exp(-r)
  matern32,     ///< (1 + s) exp(-s), s = sqrt(3) r        [Rasmussen 2006, eq. 4.17]
  matern52,     ///< (1 + s + s^2/3) exp(-s), s = sqrt(5) r [Rasmussen 2006, eq. 4.17]
  gaussian,     ///< exp(-r^2): so smooth that dense data make it nearly singular
  spherical     ///< 1 - 1.5 r + 0.5 r^3, nothing beyond r = 1
};

/// Covariance of a stationary field on a plane, elliptic when `ratio` is not 1.
struct Covariance {
  Kernel kernel = Kernel::matern52;
  double sill = 1.0;       ///< variance of the field, >= 0, in the square of the values' unit
  double range_m = 1.0;    ///< along the first axis, > 0
  double ratio = 1.0;      ///< range along the second axis / range along the first, > 0
  double angle_rad = 0.0;  ///< from +y to the first axis, towards +z
};

/// The range for which correlation has fallen to 5 % (spherical: to nothing) at the distance
/// given: exp(-3) for exponential and Gaussian, the textbook's "practical range"
/// [Isaaks 1989, chapter 16]; solved numerically for the Matern pair.
///
/// @param practical_range_m  > 0
/// @throws InputError  not positive
[[nodiscard]] double range_from_practical(Kernel kernel, double practical_range_m);

/// @throws InputError  naming the field at fault, its value, and what is allowed
void check(const Covariance& model);

}  // namespace sweepflux
