#pragma once

#include "sweepflux/base/measured.hpp"

namespace sweepflux {

/// How many standard uncertainties hold 95 % of a normal distribution on both sides together.
inline constexpr double normal_95 = 1.959963984540054;

/// A value with its interval on both sides, as of a normal distribution.
[[nodiscard]] inline Estimate symmetric_estimate(double value, double standard_uncertainty) {
  const double half = normal_95 * standard_uncertainty;
  return {value, standard_uncertainty, value - half, value + half};
}

/// Distribution function of the standard normal.
[[nodiscard]] double normal_probability(double z);

/// The z below which a share p of a standard normal lies.
///
/// @param p  0 < p < 1
/// @throws InputError  p out of range
[[nodiscard]] double normal_quantile(double p);

/// Distribution function of Student's t, by Boost.Math.
///
/// @param degrees  of freedom, > 0, need not be whole
[[nodiscard]] double student_t_probability(double t, double degrees);

/// The t below which a share p lies; 2.262 for p = 0.975 and 9 degrees of freedom.
///
/// @param p        0 < p < 1
/// @param degrees  > 0
/// @throws InputError  out of range
[[nodiscard]] double student_t_quantile(double p, double degrees);

/// Distribution function of chi square, by Boost.Math.
///
/// @param chi_square  >= 0
/// @param degrees     of freedom, > 0
/// @throws InputError  out of range
[[nodiscard]] double chi_square_probability(double chi_square, double degrees);

/// How many standard uncertainties hold 95 % on both sides together: 1.96 for many degrees of
/// freedom (from a million on that of the normal), more for few [JCGM 100, table G.2].
///
/// @param degrees  >= 1, need not be whole; infinity is allowed
/// @throws InputError  fewer, or not a number
///
/// Accuracy: 1e-9 relative to an independent program (tests/base/quantiles_test.cpp).
[[nodiscard]] double student_95(double degrees);

}  // namespace sweepflux
