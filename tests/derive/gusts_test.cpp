#include "sweepflux/derive/log/gusts.hpp"

#include "sweepflux/base/error.hpp"
#include "tests/support/dice.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <vector>

namespace sweepflux {
namespace {

/// Speeds about 2 m/s with an integral time of ten steps, and a swing laid over them.
std::vector<double> speeds(std::uint64_t seed, double swing_m_s, double period_steps) {
  test::Dice dice(seed);
  const double memory = std::exp(-0.1);
  const double sd = 0.4;
  double now = dice.normal(sd);
  std::vector<double> values;
  for (int i = 0; i < 3000; ++i) {
    now = memory * now + dice.normal(sd * std::sqrt(1.0 - memory * memory));
    values.push_back(2.0 + now +
                     swing_m_s * std::sin(2.0 * std::numbers::pi * i / period_steps));
  }
  return values;
}

TEST(gusts, intensity_and_integral_time_are_those_of_the_series) {
  const Gustiness g = gusts_of(speeds(3, 0.0, 1.0), 0.1);
  EXPECT_NEAR(g.turbulence.value, 0.20, 3.0 * g.turbulence.standard_uncertainty);
  EXPECT_NEAR(g.integral_time_s, 1.0, 0.35);
  EXPECT_FALSE(g.period_s);
}

TEST(gusts, a_mode_that_cycles_shows_its_period) {
  const Gustiness g = gusts_of(speeds(4, 0.5, 123.0), 0.1);
  ASSERT_TRUE(g.period_s);
  EXPECT_NEAR(g.period_s->value, 12.3, 3.0 * g.period_s->standard_uncertainty);
  EXPECT_LT(g.period_s->standard_uncertainty, 0.3);
  // A sine of amplitude 0.5 beside a spread of 0.4: 0.125 of 0.285 of the variance.
  EXPECT_NEAR(g.period_share, 0.125 / 0.285, 0.12);
}

TEST(gusts, turbulence_alone_seldom_shows_a_period) {
  int found = 0;
  for (std::uint64_t seed = 100; seed < 140; ++seed) {
    found += gusts_of(speeds(seed, 0.0, 1.0), 0.1).period_s ? 1 : 0;
  }
  EXPECT_LE(found, 2);
}

TEST(gusts, too_short_or_still_air_is_refused) {
  EXPECT_THROW((void)gusts_of(std::vector<double>(20, 1.0), 0.1), InputError);
  EXPECT_THROW((void)gusts_of(std::vector<double>(100, 0.0), 0.1), InputError);
  EXPECT_EQ(gusts_of(std::vector<double>(100, 1.5), 0.1).turbulence.value, 0.0);
}

}  // namespace
}  // namespace sweepflux
