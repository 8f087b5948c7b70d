#include "sweepflux/derive/log/continuous.hpp"

#include "sweepflux/base/unit_text.hpp"
#include "tests/support/simulated_log.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace sweepflux {
namespace {

ContinuousSweep reduce(const std::vector<LogSample>& samples, const ContinuousOptions& options) {
  ContinuousReducer reducer(options);
  for (const LogSample& sample : samples) {
    reducer.add(sample);
  }
  return reducer.finish();
}

double integral_of_square(const ContinuousSweep& sweep, bool lag_undone) {
  double sum = 0.0;
  for (const ReducedReading& bin : sweep.bins) {
    double u = bin.speed_m_s;
    if (!lag_undone) {  // as logged, both ways averaged
      u = 0.0;
      for (const TimedReading& way : sweep.by_way) {
        u += way.position == bin.position ? way.speed_m_s / static_cast<double>(sweep.ways) : 0.0;
      }
    }
    sum += u * u;
  }
  return sum;
}

/// A steady Gaussian stream swept at 4 deg/s by a sensor with k = rate * tau / sigma.
test::SimulatedRig lagging_rig(double k) {
  test::SimulatedRig rig;
  rig.turbulence = 0.0;
  rig.resolution_m_s = 0.0;
  rig.sigma_deg = 4.0;
  rig.centre_deg = 0.3;
  rig.start_deg = -24.0;
  rig.stops = 25;
  rig.rate_hz = 400.0;
  rig.sensor_time_constant_s = k * rig.sigma_deg / 4.0;
  return rig;
}

ContinuousOptions fine_bins() {
  ContinuousOptions options;
  options.bin = 0.5 * degree_rad;
  return options;
}

TEST(Continuous, LagShiftsAndLosesWhatTheClosedFormSays) {
  // exp(-x^2 / 2 sigma^2) swept at omega: the centroid moves by omega tau, the integral of u stays,
  // that of u^2 is multiplied by (sqrt(pi)/k) exp(1/k^2) erfc(1/k). [Lag: integrals by hand]
  const double bin_loss = 1.0 - std::pow(0.5 / 4.0, 2) / 24.0;  // of means over half a degree
  for (const double k : {0.05, 0.1, 0.2, 0.3}) {
    const test::SimulatedRig rig = lagging_rig(k);
    ContinuousReducer reducer(fine_bins());
    for (const LogSample& sample : rig.continuous(4.0, 2)) {
      reducer.add(sample);
    }
    const ContinuousSweep sweep = reducer.finish();
    ASSERT_TRUE(sweep.gap.has_value());
    EXPECT_NEAR(sweep.gap->half_gap.value / degree_rad, k * 4.0, 0.01 * k * 4.0) << k;
    double up = 0.0;
    double up_plain = 0.0;
    for (const TimedReading& reading : sweep.by_way) {
      if (reading.direction == 1) {
        up += reading.speed_m_s * reading.speed_m_s * 0.5;
        up_plain += reading.speed_m_s * 0.5;
      }
    }
    const double whole = 9.0 * 4.0 * std::sqrt(std::numbers::pi);  // u0^2 sigma sqrt(pi)
    const double ratio =
        std::sqrt(std::numbers::pi) / k * std::exp(1.0 / (k * k)) * std::erfc(1.0 / k);
    EXPECT_NEAR(up / (whole * bin_loss), ratio, 1e-3) << k;
    EXPECT_NEAR(up_plain / (3.0 * 4.0 * std::sqrt(2.0 * std::numbers::pi)), 1.0, 1e-3) << k;
  }
}

TEST(Continuous, LagIsFoundAndUndoneToHalfAPercent) {
  const double whole = 9.0 * 4.0 * std::sqrt(std::numbers::pi);
  for (const double k : {0.05, 0.1, 0.2, 0.3}) {
    const test::SimulatedRig rig = lagging_rig(k);
    const ContinuousSweep sweep = reduce(rig.continuous(4.0, 2), fine_bins());
    ASSERT_TRUE(sweep.used.time_constant_s.has_value()) << k;
    EXPECT_NEAR(
        *sweep.used.time_constant_s, rig.sensor_time_constant_s, 0.01 * rig.sensor_time_constant_s);
    ASSERT_TRUE(sweep.lag_s.has_value());
    EXPECT_NEAR(sweep.lag_s->value, rig.sensor_time_constant_s, 0.01 * rig.sensor_time_constant_s);
    EXPECT_NEAR(integral_of_square(sweep, true) * 0.5 / whole, 1.0, 0.005) << k;
    EXPECT_LT(integral_of_square(sweep, false) * 0.5 / whole, 1.0 - 0.4 * k * k) << k;
  }
}

TEST(Continuous, AStatedTimeConstantUndoesASingleWay) {
  const test::SimulatedRig rig = lagging_rig(0.3);
  ContinuousOptions options = fine_bins();
  options.lag.time_constant_s = rig.sensor_time_constant_s;
  const ContinuousSweep sweep = reduce(rig.continuous(4.0, 1), options);
  for (const ReducedReading& bin : sweep.bins) {
    EXPECT_NEAR(bin.speed_m_s, rig.true_speed(bin.position / degree_rad), 0.01);
  }
}

TEST(Continuous, ARotorsDistanceConstantIsUndone) {
  // L y' = u (u - y), integrated finely.
  test::SimulatedRig rig = lagging_rig(0.0);
  rig.floor_m_s = 0.4;
  auto samples = rig.continuous(4.0, 2);
  constexpr double length_m = 0.6;
  double y = samples.front().value;
  for (LogSample& sample : samples) {
    const double u = sample.value;
    for (int i = 0; i < 10; ++i) {
      y += u * (u - y) / length_m / rig.rate_hz / 10.0;
    }
    sample.value = y;
  }
  ContinuousOptions options = fine_bins();
  options.rotating = true;
  const ContinuousSweep sweep = reduce(samples, options);
  ASSERT_TRUE(sweep.used.distance_constant_m.has_value());
  EXPECT_NEAR(*sweep.used.distance_constant_m, length_m, 0.02);
  double sum = 0.0;
  double truth = 0.0;
  for (const ReducedReading& bin : sweep.bins) {
    const double u = rig.true_speed(bin.position / degree_rad);
    sum += bin.speed_m_s * bin.speed_m_s;
    truth += u * u;
  }
  EXPECT_NEAR(sum / truth, 1.0, 0.005);
}

TEST(Continuous, NoLagIsUndoneWhereNoneIsToBeSeen) {
  test::SimulatedRig rig;
  rig.turbulence = 0.2;
  const ContinuousSweep sweep = reduce(rig.continuous(2.0, 2), {});
  EXPECT_FALSE(sweep.used.time_constant_s.has_value());
  ASSERT_TRUE(sweep.gap.has_value());
  EXPECT_LT(std::abs(sweep.gap->half_gap.value), 3.5 * sweep.gap->half_gap.standard_uncertainty);
}

TEST(Continuous, ErrorsOfBinsHoldTheTruthAsOftenAsTheySay) {
  int held = 0;
  int all = 0;
  double squares = 0.0;
  double stated = 0.0;
  constexpr int sweeps = 60;
  for (int i = 0; i < sweeps; ++i) {
    test::SimulatedRig rig;
    rig.turbulence = 0.2;
    rig.floor_m_s = 0.5;
    rig.sensor_time_constant_s = 0.3;
    rig.seed = static_cast<std::uint64_t>(i) + 1;
    ContinuousOptions options;
    options.lag.time_constant_s = 0.3;
    const ContinuousSweep sweep = reduce(rig.continuous(2.0, 4), options);
    double sum = 0.0;
    double truth = 0.0;
    for (const ReducedReading& bin : sweep.bins) {
      const double u = rig.true_speed(bin.position / degree_rad);
      held += std::abs(bin.speed_m_s - u) <= 1.96 * bin.standard_error_m_s ? 1 : 0;
      ++all;
      sum += bin.speed_m_s * bin.speed_m_s;
      truth += u * u;
    }
    squares += std::pow(sum / truth - 1.0, 2);
    stated += std::pow(sweep.integral_u2_error, 2);
  }
  EXPECT_GT(held / static_cast<double>(all), 0.92);
  EXPECT_LT(held / static_cast<double>(all), 0.98);
  // 60 sweeps tell a standard deviation to 9 %; the curvature within bins is in it too.
  EXPECT_NEAR(std::sqrt(squares / stated), 1.0, 0.3);
}

TEST(Continuous, TwoMinutesCostWhatTheTimeRatioSays) {
  test::SimulatedRig rig;
  rig.turbulence = 0.2;
  const ContinuousSweep sweep = reduce(rig.continuous(2.0, 6), {});
  EXPECT_NEAR(sweep.duration_s, 120.0, 0.1);
  // Ten minutes with 80 % of the time dwelling average four times as long.
  const double ten = stop_and_go_error(sweep, 10.0, 0.8);
  EXPECT_NEAR(sweep.integral_u2_error / ten, 2.0, 0.06);
}

TEST(Continuous, AShortSweepIsRefused) {
  test::SimulatedRig rig;
  rig.stops = 3;
  EXPECT_THROW((void)reduce(rig.continuous(2.0, 2), {}), NumericalError);
}

}  // namespace
}  // namespace sweepflux
