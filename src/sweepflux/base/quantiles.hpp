#pragma once

namespace sweepflux {

/// How many standard uncertainties hold 95 % of a normal distribution on both sides together.
inline constexpr double normal_95 = 1.959963984540054;

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

/// How many standard uncertainties hold 95 % on both sides together: 1.96 for many degrees of
/// freedom (from a million on that of the normal), more for few [JCGM 100, table G.2].
///
/// @param degrees  >= 1, need not be whole; infinity is allowed
/// @throws InputError  fewer, or not a number
///
/// Accuracy: 1e-9 relative to an independent program (tests/base/quantiles_test.cpp).
[[nodiscard]] double student_95(double degrees);

}  // namespace sweepflux
