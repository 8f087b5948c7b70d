#include "sweepflux/derive/log/dwells.hpp"

#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/log/sensor_watch.hpp"
#include "sweepflux/derive/log/step_pattern.hpp"
#include "tests/support/simulated_log.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

namespace sweepflux {
namespace {

struct Found {
  std::vector<Dwell> dwells;
  StepResponse response;
  double settle_s = 0.0;
  std::vector<std::string> remarks;
};

Found find(const std::vector<LogSample>& samples, const DwellOptions& options = {}) {
  Found found;
  DwellFinder finder(options, [&](Dwell dwell) { found.dwells.push_back(std::move(dwell)); });
  for (const LogSample& sample : samples) {
    finder.add(sample);
  }
  finder.finish();
  found.response = finder.learnt().response;
  found.settle_s = finder.learnt().settle_s;
  found.remarks = finder.remarks();
  return found;
}

bool warns_of(const std::vector<std::string>& warnings, const std::string& word) {
  return std::any_of(warnings.begin(), warnings.end(), [&](const std::string& warning) {
    return warning.find(word) != std::string::npos;
  });
}

void expect_true_means(const test::SimulatedRig& rig, const Found& found) {
  ASSERT_EQ(found.dwells.size(), static_cast<std::size_t>(rig.stops));
  double squares = 0.0;
  for (const Dwell& dwell : found.dwells) {
    const double truth = rig.true_speed(dwell.position / degree_rad);
    // Means are known no better than a share of the sensor's last digit.
    const double z = (dwell.reading.mean - truth) /
                     std::hypot(dwell.reading.standard_error, 0.3 * rig.resolution_m_s);
    squares += z * z;
    EXPECT_LT(std::abs(z), 4.5) << dwell.position / degree_rad;
  }
  EXPECT_LT(std::sqrt(squares / rig.stops), 1.5);
}

TEST(Dwells, AreFoundFromTheAngleWithTheirTrueMeans) {
  test::SimulatedRig rig;
  rig.sensor_time_constant_s = 0.4;
  const Found found = find(rig.stop_and_go());
  expect_true_means(rig, found);
  EXPECT_EQ(found.dwells.front().direction, 0);
  EXPECT_EQ(found.dwells.back().direction, 1);
  EXPECT_NEAR(found.dwells[3].position / degree_rad, -14.0, 1e-9);
  EXPECT_NEAR(found.dwells[1].start_s, 6.3, 1e-9);
}

TEST(Dwells, SettlingIsReadFromTheStepResponse) {
  test::SimulatedRig rig;
  rig.sensor_time_constant_s = 0.4;
  rig.turbulence = 0.05;
  const Found found = find(rig.stop_and_go());
  ASSERT_TRUE(found.response.seen);
  // The move is a ramp of 0.3 s: half of it counts as delay.
  EXPECT_NEAR(found.response.delay_s, 0.15, 0.12);
  EXPECT_NEAR(found.response.time_constant_s, 0.4, 0.1);
  EXPECT_NEAR(found.settle_s, 0.15 + 0.4 * std::log(100.0), 0.4);
}

TEST(Dwells, NothingIsDroppedWhereNothingSettles) {
  test::SimulatedRig rig;
  rig.move_s = 0.0;
  rig.turbulence = 0.03;
  const Found found = find(rig.stop_and_go());
  EXPECT_LT(found.settle_s, 0.1);
  expect_true_means(rig, found);
}

TEST(Dwells, SettlingLeftInTheMeansWouldMakeThemWrongAndIsSaid) {
  test::SimulatedRig rig;
  rig.sensor_time_constant_s = 0.8;
  rig.turbulence = 0.02;
  DwellOptions none;
  none.settle_s = 0.0;
  const Found kept = find(rig.stop_and_go(), none);
  double worst = 0.0;
  for (const Dwell& dwell : kept.dwells) {
    worst =
        std::max(worst, std::abs(dwell.reading.mean - rig.true_speed(dwell.position / degree_rad)));
  }
  EXPECT_GT(worst, 0.05);
  EXPECT_TRUE(warns_of(kept.remarks, "longer than"));
  expect_true_means(rig, find(rig.stop_and_go()));
}

TEST(Dwells, AreFoundFromAListOfStops) {
  test::SimulatedRig rig;
  rig.sensor_time_constant_s = 0.3;
  auto samples = rig.stop_and_go();
  for (LogSample& sample : samples) {
    sample.position = std::numeric_limits<double>::quiet_NaN();
  }
  const StepPattern pattern{-20.0 * degree_rad, 2.0 * degree_rad, 21, 0.0, 6.3, 0.0, false};
  DwellOptions options;
  options.stops = list_stops(pattern);
  const Found found = find(samples, options);
  expect_true_means(rig, found);
  EXPECT_GT(found.settle_s, 0.8);
}

TEST(Dwells, APatternIsFoundInTheSignalAlone) {
  for (const double lead_s : {0.0, 2.0}) {
    test::SimulatedRig rig;
    rig.sensor_time_constant_s = 0.2;
    rig.lead_s = lead_s;
    rig.start_deg = -14.0;
    rig.stops = 15;
    const StepPattern pattern{-14.0 * degree_rad, 2.0 * degree_rad, 15, 1.5, 4.5, 0.3, false};
    PatternFinder finder(pattern);
    for (const LogSample& sample : rig.stop_and_go()) {
      finder.add(sample.time_s, sample.value);
    }
    EXPECT_NEAR(finder.begin_s(), lead_s, 0.35) << lead_s;
  }
}

TEST(Dwells, APatternThereAndBackIsPlacedByItsMirror) {
  test::SimulatedRig rig;
  rig.start_deg = -14.0;
  rig.stops = 15;
  rig.there_and_back = true;
  rig.lead_s = 3 * 6.3;
  const StepPattern pattern{-14.0 * degree_rad, 2.0 * degree_rad, 15, 0.5, 5.5, 0.3, true};
  PatternFinder finder(pattern);
  for (const LogSample& sample : rig.stop_and_go()) {
    finder.add(sample.time_s, sample.value);
  }
  EXPECT_NEAR(finder.begin_s(), 3 * 6.3, 0.35);
}

TEST(Dwells, APatternThatTheSignalDoesNotShowIsRefused) {
  test::SimulatedRig rig;
  rig.peak_m_s = 0.0;
  rig.floor_m_s = 1.0;
  PatternFinder finder({-20.0 * degree_rad, 2.0 * degree_rad, 21, 1.0, 5.0, 0.3, false});
  for (const LogSample& sample : rig.stop_and_go()) {
    finder.add(sample.time_s, sample.value);
  }
  EXPECT_THROW((void)finder.begin_s(), NumericalError);
}

TEST(Dwells, SlowMovesPassWithoutBecomingDwells) {
  test::SimulatedRig rig;
  auto samples = rig.stop_and_go();
  // An encoder that shows the move: 2 degrees within 1 s.
  double shown = samples.front().position;
  for (LogSample& sample : samples) {
    shown += std::clamp(sample.position - shown, -0.02 * degree_rad, 0.02 * degree_rad);
    sample.position = shown;
  }
  const Found found = find(samples);
  EXPECT_EQ(found.dwells.size(), 21U);
}

TEST(Dwells, AnAngleThatNeverRestsIsRefused) {
  test::SimulatedRig rig;
  EXPECT_THROW((void)find(rig.continuous(5.0, 2)), NumericalError);
}

TEST(Dwells, EachKeepsTheLinesThatItCameFrom) {
  test::SimulatedRig rig;
  rig.rest_s = 2.0;
  DwellOptions options;
  options.settle_s = 0.495;
  const Found found = find(rig.stop_and_go(), options);
  // 230 rows a stop, heading on line 1; the first 50 rows of each are settling.
  EXPECT_EQ(found.dwells[1].reading.first_line, 2U + 230U + 50U);
  EXPECT_EQ(found.dwells[1].reading.last_line, 2U + 2U * 230U - 1U);
  EXPECT_EQ(found.dwells[1].reading.samples, 180U);
}

TEST(Dwells, ARestartedLoggerBeginsANewDwell) {
  test::SimulatedRig rig;
  auto samples = rig.stop_and_go();
  for (std::size_t i = 2830; i < samples.size(); ++i) {
    samples[i].time_s -= 29.0;
  }
  DwellOptions options;
  options.settle_s = 0.5;
  const Found found = find(samples, options);
  EXPECT_EQ(found.dwells.size(), 22U);
}

TEST(SensorWatch, NamesEachFault) {
  test::SimulatedRig rig;
  auto samples = rig.stop_and_go();
  const auto change = [&](std::size_t dwell, auto&& how) {
    for (std::size_t i = 630 * dwell; i < 630 * (dwell + 1); ++i) {
      how(samples[i], i - 630 * dwell);
    }
  };
  change(8, [](LogSample& s, std::size_t) { s.value = 1.234; });
  change(10, [](LogSample& s, std::size_t) { s.value = std::min(s.value, 2.9); });
  change(12, [](LogSample& s, std::size_t) { s.value = 0.0; });
  change(13, [](LogSample& s, std::size_t k) {
    if (k % 10 == 0) {
      s.fault = SampleFault::missing;
    }
  });
  change(14, [](LogSample& s, std::size_t k) {
    if (k == 400) {
      s.fault = SampleFault::over_range;
    }
  });
  Found found = find(samples);
  ASSERT_EQ(found.dwells.size(), 21U);
  watch_sensor(found.dwells, 0.2, 2.9);
  EXPECT_TRUE(warns_of(found.dwells[8].warnings, "stuck"));
  EXPECT_TRUE(warns_of(found.dwells[10].warnings, "saturated"));
  EXPECT_TRUE(warns_of(found.dwells[12].warnings, "stalled"));
  EXPECT_TRUE(warns_of(found.dwells[13].warnings, "drop-outs: 63 of 630"));
  EXPECT_TRUE(warns_of(found.dwells[14].warnings, "over range"));
  for (const std::size_t sound : {5U, 6U, 7U, 16U}) {
    EXPECT_TRUE(found.dwells[sound].warnings.empty()) << found.dwells[sound].warnings[0];
  }
}

TEST(SensorWatch, SaysWhenADwellIsTooShortForItsTurbulence) {
  test::SimulatedRig rig;
  rig.integral_time_s = 0.8;
  rig.turbulence = 0.3;
  Found found = find(rig.stop_and_go());
  watch_sensor(found.dwells, 0.0, 0.0);
  std::size_t warned = 0;
  for (const Dwell& dwell : found.dwells) {
    warned += warns_of(dwell.warnings, "too short for its turbulence") ? 1U : 0U;
  }
  EXPECT_GE(warned, 18U);
}

TEST(SensorWatch, ClockFaultsAreCountedAndNamed) {
  ClockWatch watch;
  double time_s = 0.0;
  for (std::size_t i = 0; i < 100; ++i, time_s += 0.1) {
    if (i == 40) {
      time_s += 5.0;
    }
    if (i == 70) {
      time_s -= 3.0;
    }
    (void)watch.add(time_s, i + 2);
  }
  EXPECT_EQ(watch.gaps(), 1U);
  EXPECT_EQ(watch.jumps_back(), 1U);
  ASSERT_EQ(watch.warnings().size(), 2U);
  EXPECT_EQ(watch.warnings()[0], "a gap of 5.1 s before line 42");
}

}  // namespace
}  // namespace sweepflux
