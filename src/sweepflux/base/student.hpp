#pragma once

namespace sweepflux {

/// How many standard uncertainties hold 95 % on both sides together, by Student's t: 1.96 for many
/// degrees of freedom, more for few [JCGM 100, table G.2].
///
/// @param freedom  degrees of freedom, >= 1, need not be whole; infinity is allowed
///
/// Accuracy: 1e-9 relative to the exact quantile (tests/base/student_test.cpp).
[[nodiscard]] double student_95(double freedom);

/// Share of a normal distribution below z standard deviations.
[[nodiscard]] double normal_share_below(double z);

}  // namespace sweepflux
