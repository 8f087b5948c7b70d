#include "sweepflux/derive/log/drift.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <vector>

namespace sweepflux {
namespace {

/// A sweep up and down with so much drift, gap and noise.
std::vector<TimedReading> sweep_readings(double drift_per_s,
                                         double half_gap,
                                         double relative_error,
                                         std::uint64_t seed,
                                         int visits = 1) {
  std::mt19937_64 random(seed);
  std::normal_distribution<double> normal;
  std::vector<TimedReading> readings;
  double time_s = 0.0;
  for (int visit = 0; visit < visits; ++visit) {
    for (int i = 0; i < 82; ++i, time_s += 10.0) {
      const int at = i < 41 ? i : 81 - i;
      const int direction = i < 41 ? 1 : -1;
      const double position = -0.4 + 0.02 * at;
      const double place = position - direction * half_gap;
      const double speed = 3.0 * std::exp(-0.5 * std::pow((place - 0.03) / 0.1, 2)) + 0.2;
      const double error = relative_error * speed;
      readings.push_back({position,
                          direction,
                          time_s,
                          speed * (1.0 + drift_per_s * time_s) + error * normal(random),
                          error});
    }
  }
  return readings;
}

TEST(Drift, IsFoundFromRepeatedPlacesWithItsUncertainty) {
  int held = 0;
  for (std::uint64_t seed = 1; seed <= 200; ++seed) {
    const auto drift = find_drift(sweep_readings(-1e-5, 0.0, 0.02, seed, 2), 1e-6);
    ASSERT_TRUE(drift.has_value());
    held += std::abs(drift->rate_per_s.value + 1e-5) <= 2.0 * drift->rate_per_s.standard_uncertainty
                ? 1
                : 0;
  }
  EXPECT_GE(held, 180);
  const auto clear = find_drift(sweep_readings(-1e-4, 0.0, 0.01, 5, 2), 1e-6);
  ASSERT_TRUE(clear.has_value());
  EXPECT_TRUE(clear->significant);
  EXPECT_EQ(clear->repeats, 82U);
}

TEST(Drift, BacklashDoesNotPassForDrift) {
  const auto drift = find_drift(sweep_readings(0.0, 0.01, 0.002, 3, 2), 1e-6);
  ASSERT_TRUE(drift.has_value());
  EXPECT_FALSE(drift->significant);
}

TEST(Drift, SayNothingWithoutRepeats) {
  EXPECT_FALSE(find_drift(sweep_readings(0.0, 0.0, 0.01, 1), 1e-6).has_value());
}

TEST(Drift, RepeatsThatScatterMoreThanTheySayWidenTheUncertainty) {
  auto readings = sweep_readings(0.0, 0.0, 0.05, 9, 2);
  for (TimedReading& reading : readings) {
    reading.standard_error_m_s *= 0.2;
  }
  const auto drift = find_drift(readings, 1e-6);
  ASSERT_TRUE(drift.has_value());
  EXPECT_NEAR(drift->scatter, 5.0, 1.5);
  EXPECT_FALSE(drift->significant);
}

TEST(Backlash, IsHalfTheGapOfTheCentroids) {
  for (const double half_gap : {0.004, -0.006}) {
    const auto found = find_backlash(sweep_readings(0.0, half_gap, 0.002, 11));
    ASSERT_TRUE(found.has_value());
    EXPECT_NEAR(found->half_gap.value, half_gap, 4.0 * found->half_gap.standard_uncertainty + 3e-4);
    EXPECT_TRUE(found->significant);
    EXPECT_LT(found->edge_share, 0.1);
  }
}

TEST(Backlash, ThatTurbulenceCouldFeignIsNotSignificant) {
  int significant = 0;
  for (std::uint64_t seed = 1; seed <= 200; ++seed) {
    significant += find_backlash(sweep_readings(0.0, 0.0, 0.05, seed))->significant ? 1 : 0;
  }
  EXPECT_LE(significant, 20);  // 5 % of 200 expected
}

TEST(Backlash, NeedsBothWays) {
  const auto readings = sweep_readings(0.0, 0.01, 0.01, 1);
  EXPECT_FALSE(find_backlash(std::span(readings).first(41)).has_value());
}

}  // namespace
}  // namespace sweepflux
