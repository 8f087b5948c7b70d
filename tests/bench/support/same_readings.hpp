#pragma once

#include "tests/support/make_survey.hpp"

namespace sweepflux::bench {

/// Which of the two integrals over the plane.
enum class Integral { volume_flow, momentum };

/// What streams that no sweep of a survey tells apart may carry: the least and the most that were
/// found among those that
/// - equal the truth along every sweep (at every place of it, not only where it was read), and
///   everywhere above the highest and below the lowest,
/// - are nowhere below zero and nowhere faster than the truth at its peak,
/// - bend no more than the truth does: the integral of u_yy^2 + 2 u_yz^2 + u_zz^2 is at most its.
///
/// A method sees the same readings before either, so it gives the same answer. Whatever that is,
/// it is off by at least `half_gap()` for one of the two.
struct SameReadings {
  double least = 0.0;  ///< m3/s; m4/s2 for momentum over density
  double most = 0.0;

  /// Smallest relative error that an answer can have for the worse of the two.
  [[nodiscard]] double half_gap() const { return (most - least) / (most + least); }
};

/// Both streams are found on a grid of rows and columns; any two are a bound, a better search gives
/// a larger one.
///
/// @param step_m  of the grid, across and, at most, upwards; sweeps are rows of it
[[nodiscard]] SameReadings same_readings(const test::KnownField& field,
                                         const test::SurveyPlan& plan,
                                         Integral integral,
                                         double step_m);

}  // namespace sweepflux::bench
