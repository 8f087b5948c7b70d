#include "sweepflux/field/stream/below_start_private.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace sweepflux {
namespace {

double minus_log_likelihood(const BelowStart& below, double mean_m_s) {
  const double r = below.residual(mean_m_s);
  return 0.5 * r * r;
}

TEST(BelowStart, IsTheProbabilityOfAReadingUnderTheStart) {
  const BelowStart below{0.3, 0.05};
  // Phi(0), Phi(1), Phi(-1), Phi(-2) to ten digits [Abramowitz & Stegun 1964, table 26.1].
  EXPECT_NEAR(std::exp(-minus_log_likelihood(below, 0.30)), 0.5, 1e-12);
  EXPECT_NEAR(std::exp(-minus_log_likelihood(below, 0.25)), 0.8413447461, 1e-9);
  EXPECT_NEAR(std::exp(-minus_log_likelihood(below, 0.35)), 0.1586552539, 1e-9);
  EXPECT_NEAR(std::exp(-minus_log_likelihood(below, 0.40)), 0.0227501319, 1e-9);
}

TEST(BelowStart, GrowsWithTheMeanAndStaysFiniteFarOut) {
  const BelowStart below{0.3, 0.05};
  double before = -1.0;
  for (double mean = 0.0; mean < 12.0; mean += 0.01) {
    const double now = below.residual(mean);
    ASSERT_TRUE(std::isfinite(now)) << mean;
    ASSERT_GT(now, before) << mean;
    before = now;
  }
  // Where the two forms of the tail meet there is no step.
  const double at = 0.3 + 25.0 * 0.05;
  EXPECT_NEAR(below.residual(at + 1e-9) - below.residual(at - 1e-9), 0.0, 1e-5);
}

TEST(BelowStart, StandsInWithTheSameSlopeAndCurvature) {
  const BelowStart below = below_start(0.3, 0.05);
  for (const double mean : {0.15, 0.25, 0.30, 0.36, 0.5, 1.2}) {
    const double h = 1e-4;
    const double low = minus_log_likelihood(below, mean - h);
    const double here = minus_log_likelihood(below, mean);
    const double high = minus_log_likelihood(below, mean + h);
    const BelowStart::Reading reading = below.stand_in(mean);
    const double precision = 1.0 / (reading.sd_m_s * reading.sd_m_s);
    EXPECT_NEAR((high - low) / (2 * h), precision * (mean - reading.value_m_s), 1e-3) << mean;
    EXPECT_NEAR((high - 2 * here + low) / (h * h), precision, 1e-3 * precision + 0.05) << mean;
  }
}

TEST(BelowStart, StaysFiniteWithoutStartAndNoise) {
  EXPECT_TRUE(std::isfinite(below_start(0.0, 0.0).residual(1.0)));
  EXPECT_TRUE(std::isfinite(below_start(0.0, 0.0).stand_in(1.0).value_m_s));
}

TEST(BelowStart, SaysNothingOfStillAir) {
  const BelowStart below = below_start(0.3, 0.05);
  EXPECT_GT(below.stand_in(0.0).sd_m_s, 10.0 * below.sd_m_s);
}

}  // namespace
}  // namespace sweepflux
