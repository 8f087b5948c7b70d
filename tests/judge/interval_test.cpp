#include "sweepflux/base/quantiles.hpp"
#include "sweepflux/judge/interval_private.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace sweepflux {
namespace {

/// Share of a log-normal with this median and relative deviation that lies below x.
double share_below(double median, double relative, double x) {
  return normal_probability(std::log(x / median) / std::sqrt(std::log1p(relative * relative)));
}

TEST(Interval, OfEitherLeavesTwoAndAHalfPerCentOfBothOnEachSide) {
  for (const double share : {0.1, 0.5, 0.9}) {
    const Estimate e = estimate_of_either(estimate_of(1.0, 0.1), estimate_of(0.8, 0.16), share);
    const auto below = [&](double x) {
      return (1.0 - share) * share_below(1.0, 0.1, x) + share * share_below(0.8, 0.2, x);
    };
    EXPECT_NEAR(below(e.low_95), 0.025, 1e-6) << share;
    EXPECT_NEAR(below(e.high_95), 0.975, 1e-6) << share;
    EXPECT_EQ(e.value, 1.0);
    EXPECT_NEAR(e.standard_uncertainty,
                std::sqrt((1.0 - share) * 0.1 * 0.1 + share * (0.16 * 0.16 + 0.2 * 0.2)),
                1e-12);
  }
}

TEST(Interval, OfEitherIsTheOneWhereTheOtherIsTheSameOrIsOutOfTheQuestion) {
  const Estimate one = estimate_of(2.0, 0.3, 8.0);
  for (const Estimate& same : {estimate_of_either(one, one, 0.5, 8.0),
                               estimate_of_either(one, estimate_of(1.0, 0.7, 8.0), 0.0, 8.0)}) {
    EXPECT_NEAR(same.low_95, one.low_95, 1e-9);
    EXPECT_NEAR(same.high_95, one.high_95, 1e-9);
    EXPECT_NEAR(same.standard_uncertainty, one.standard_uncertainty, 1e-12);
  }
}

TEST(Interval, OfEitherReachesFartherToTheOthersSide) {
  const Estimate one = estimate_of(1.0, 0.05);
  const Estimate e = estimate_of_either(one, estimate_of(0.85, 0.05), 0.5);
  EXPECT_LT(e.low_95, one.low_95 - 0.1);
  EXPECT_LT(e.high_95, one.high_95);
  EXPECT_GT(e.high_95, 1.0);
}

TEST(Interval, OfEitherKeepsItsUnit) {
  const Estimate metres = estimate_of_either(estimate_of(0.4, 0.05), estimate_of(0.3, 0.1), 0.4);
  const Estimate millimetres =
      estimate_of_either(estimate_of(400.0, 50.0), estimate_of(300.0, 100.0), 0.4);
  EXPECT_NEAR(millimetres.low_95, 1e3 * metres.low_95, 1e-9 * metres.low_95);
  EXPECT_NEAR(millimetres.high_95, 1e3 * metres.high_95, 1e-9 * metres.high_95);
}

TEST(Interval, OfTwoThatAreCertainHoldsBoth) {
  const Estimate e = estimate_of_either(estimate_of(1.0, 0.0), estimate_of(0.5, 0.0), 0.5);
  EXPECT_NEAR(e.low_95, 0.5, 1e-9);
  EXPECT_NEAR(e.high_95, 1.0, 1e-9);
}

}  // namespace
}  // namespace sweepflux
