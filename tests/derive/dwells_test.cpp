#include "sweepflux/derive/log/dwells.hpp"

#include "tests/support/simulated_log.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

namespace sweepflux {
namespace {

constexpr double rad_a_degree = std::numbers::pi / 180.0;

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
    const double truth = rig.true_speed(dwell.position / rad_a_degree);
    // Means are known no better than a share of the sensor's last digit.
    const double z = (dwell.reading.mean - truth) /
                     std::hypot(dwell.reading.standard_error, 0.3 * rig.resolution_m_s);
    squares += z * z;
    EXPECT_LT(std::abs(z), 4.5) << dwell.position / rad_a_degree;
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
  EXPECT_NEAR(found.dwells[3].position / rad_a_degree, -14.0, 1e-9);
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
  EXPECT_NEAR(found.response.settle_s, 0.15 + 0.4 * std::log(100.0), 0.4);
  EXPECT_EQ(found.settle_s, on_settling_ladder(found.response.settle_s));
}

TEST(Dwells, OneBurstAmidZerosIsNoSlowSensor) {
  // As low in the stream, under the starting speed: a vane turns at one stop alone, now and then.
  test::SimulatedRig rig;
  rig.peak_m_s = 0.0;
  rig.rate_hz = 10.0;
  std::vector<LogSample> samples = rig.stop_and_go();
  for (std::size_t i = 0; i < samples.size(); ++i) {
    const double degrees = samples[i].position / rad_a_degree;
    samples[i].value = std::abs(degrees) < 0.5 ? 0.16 + 0.09 * std::sin(0.1 * static_cast<double>(i))
                                               : 0.0;
  }
  const Found found = find(samples);
  ASSERT_EQ(found.dwells.size(), 21U);
  for (const Dwell& dwell : found.dwells) {
    EXPECT_GT(dwell.reading.samples, 30U) << dwell.settle_s;
  }
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
    worst = std::max(worst, std::abs(dwell.reading.mean - rig.true_speed(dwell.position / rad_a_degree)));
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
  const StepPattern pattern{-20.0 * rad_a_degree, 2.0 * rad_a_degree, 21, 0.0, 6.3, 0.0, false};
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
    const StepPattern pattern{-14.0 * rad_a_degree, 2.0 * rad_a_degree, 15, 1.5, 4.5, 0.3, false};
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
  const StepPattern pattern{-14.0 * rad_a_degree, 2.0 * rad_a_degree, 15, 0.5, 5.5, 0.3, true};
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
  PatternFinder finder({-20.0 * rad_a_degree, 2.0 * rad_a_degree, 21, 1.0, 5.0, 0.3, false});
  for (const LogSample& sample : rig.stop_and_go()) {
    finder.add(sample.time_s, sample.value);
  }
  EXPECT_THROW((void)finder.begin_s(), NumericalError);
}

TEST(Dwells, APatternOfMoreStopsThanTheLogHoldsIsRefusedWithWhatWasFound) {
  test::SimulatedRig rig;
  rig.start_deg = -13.0;
  rig.stops = 14;
  PatternFinder finder({-24.0 * rad_a_degree, 2.0 * rad_a_degree, 25, 0.5, 5.5, 0.3, false});
  for (const LogSample& sample : rig.stop_and_go()) {
    finder.add(sample.time_s, sample.value);
  }
  try {
    (void)finder.begin_s();
    FAIL() << "accepted";
  } catch (const NumericalError& error) {
    EXPECT_EQ(std::string(error.what()).substr(0, 52),
              "the log holds 14 stops of 6.3 s, the pattern 25: sta");
  }
}

TEST(Dwells, SlowMovesPassWithoutBecomingDwells) {
  test::SimulatedRig rig;
  auto samples = rig.stop_and_go();
  // An encoder that shows the move: 2 degrees within 1 s.
  double shown = samples.front().position;
  for (LogSample& sample : samples) {
    shown += std::clamp(sample.position - shown, -0.02 * rad_a_degree, 0.02 * rad_a_degree);
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

TEST(Dwells, ARestartedLoggerKeepsOneDwellOne) {
  test::SimulatedRig rig;
  auto samples = rig.stop_and_go();
  DwellOptions options;
  options.settle_s = 0.5;
  const Found whole = find(samples, options);
  for (std::size_t i = 2830; i < samples.size(); ++i) {
    samples[i].time_s -= 29.0;
  }
  samples[2830].new_segment = true;
  const Found found = find(samples, options);
  ASSERT_EQ(found.dwells.size(), whole.dwells.size());
  for (std::size_t i = 0; i < whole.dwells.size(); ++i) {
    EXPECT_EQ(found.dwells[i].reading.mean, whole.dwells[i].reading.mean);
    EXPECT_EQ(found.dwells[i].reading.last_line, whole.dwells[i].reading.last_line);
  }
}

TEST(Dwells, ARestCutShortIsNotUsedAndNamed) {
  test::SimulatedRig rig;
  auto samples = rig.stop_and_go();
  samples.erase(samples.begin() + 630 * 4 + 120, samples.begin() + 630 * 5);
  DwellFinder finder({}, [](const Dwell&) {});
  for (const LogSample& sample : samples) {
    finder.add(sample);
  }
  finder.finish();
  ASSERT_EQ(finder.unused().size(), 1U);
  EXPECT_TRUE(finder.unused()[0].lost_stop);
  EXPECT_EQ(finder.unused()[0].first_line, 630U * 4U + 2U);
  EXPECT_EQ(finder.unused()[0].last_line, 630U * 4U + 121U);
  EXPECT_TRUE(warns_of(finder.warnings(), "not used: at -12 deg, lines 2522 to 2641"));
}

TEST(Dwells, AFallToZeroAtEveryMoveIsSettlingToo) {
  test::SimulatedRig rig;
  rig.turbulence = 0.02;
  auto samples = rig.stop_and_go();
  for (std::size_t i = 0; i < samples.size(); ++i) {
    samples[i].value *= -std::expm1(-0.01 * static_cast<double>(i % 630) / 0.5);
  }
  const Found found = find(samples);
  ASSERT_TRUE(found.response.seen);
  EXPECT_NEAR(found.response.settle_s, 0.5 * std::log(100.0), 0.3);
  expect_true_means(rig, found);
}

TEST(Settling, IsNotStatedFinerThanItIsKnown) {
  StepResponse response;
  response.seen = true;
  response.settle_s = 1.1;
  response.settle_low_s = 1.0;
  response.settle_high_s = 1.2;
  EXPECT_EQ(chosen_settling(response, 10.0), 1.25);
  response.settle_low_s = 0.7;
  response.settle_high_s = 1.8;
  EXPECT_EQ(chosen_settling(response, 10.0), 1.6);
  response.settle_low_s = 0.0;  // eddies may have feigned it
  EXPECT_EQ(chosen_settling(response, 10.0), 1.6);
  EXPECT_EQ(chosen_settling(response, 3.0), 1.25) << "no more than 0.45 of the rest for that";
  response.settle_s = 9.0;
  EXPECT_EQ(chosen_settling(response, 3.0), 1.6) << "rounded up from 1.35";
  response.settle_low_s = 2.2;
  response.settle_high_s = 12.0;
  EXPECT_EQ(chosen_settling(response, 3.0), 2.5) << "as long as it is known to be";
  response.seen = false;
  EXPECT_EQ(chosen_settling(response, 3.0), 0.0);
}

TEST(RestLengths, TheUsualRestIsThatOfTheStops) {
  const auto times = [](std::size_t count, double length_s) {
    return std::vector<double>(count, length_s);
  };
  const auto joined = [](std::vector<double> a, const std::vector<double>& b) {
    a.insert(a.end(), b.begin(), b.end());
    return a;
  };
  EXPECT_EQ(judge_rest_lengths(joined(times(24, 8.0), times(1, 308.0))).usual_s, 8.0);
  EXPECT_EQ(judge_rest_lengths(joined(times(24, 8.0), times(3, 3600.0))).usual_s, 8.0);
  EXPECT_EQ(judge_rest_lengths(joined(times(168, 0.125), times(21, 6.0))).usual_s, 6.0);
  EXPECT_EQ(judge_rest_lengths(joined(times(16, 0.125), times(3, 6.0))).usual_s, 6.0);
  EXPECT_EQ(judge_rest_lengths(times(5, 0.2)).usual_s, 0.2);
  EXPECT_EQ(judge_rest_lengths({}).usual_s, 0.0);
  const RestLengths lengths = judge_rest_lengths(joined(times(24, 8.0), times(1, 308.0)));
  EXPECT_GT(lengths.shortest_s, 2.0);
  EXPECT_LT(lengths.parked_s, 308.0);
  EXPECT_GT(lengths.parked_s, 16.0);
}

/// Times of 100 rows, 0.1 s apart, after a change, and what comes out of the mender.
struct Mended {
  std::vector<double> times_s;
  std::vector<std::string> warnings;
};

template <typename Change>
Mended mend(Change change) {
  Mended mended;
  ClockMender clock([&](const LogSample& sample, ClockMender::Event) {
    mended.times_s.push_back(sample.time_s);
  });
  for (std::size_t i = 0; i < 100; ++i) {
    LogSample sample;
    sample.time_s = change(i, 0.1 * static_cast<double>(i));
    sample.line = i + 2;
    clock.add(sample);
  }
  clock.flush();
  mended.warnings = clock.warnings();
  return mended;
}

void expect_even(const Mended& mended) {
  ASSERT_EQ(mended.times_s.size(), 100U);
  for (std::size_t i = 1; i < 100; ++i) {
    EXPECT_NEAR(mended.times_s[i] - mended.times_s[i - 1], 0.1, 1e-9) << i;
  }
}

TEST(ClockMender, StepsAreClosedUpAndNamed) {
  const Mended mended = mend(
      [](std::size_t i, double t) { return t + (i >= 40 ? 5.0 : 0.0) - (i >= 70 ? 3.0 : 0.0); });
  expect_even(mended);
  ASSERT_EQ(mended.warnings.size(), 2U);
  EXPECT_EQ(mended.warnings[0].substr(0, 31), "a gap of 5.1 s before line 42 (");
  EXPECT_EQ(mended.warnings[1].substr(0, 40), "the clock jumps back by 2.9 s at line 72");
}

TEST(ClockMender, AStampThatDoesNotFitIsReadFromItsNeighbours) {
  for (const std::size_t bad : {0U, 1U, 3U, 16U, 50U, 98U, 99U}) {
    for (const double off_s : {-500.0, 500.0, 3600.0}) {
      const Mended mended = mend([&](std::size_t i, double t) { return i == bad ? t + off_s : t; });
      SCOPED_TRACE(bad);
      expect_even(mended);
      ASSERT_EQ(mended.warnings.size(), 1U);
      EXPECT_NE(mended.warnings[0].find("line " + std::to_string(bad + 2) + ": its time"),
                std::string::npos)
          << mended.warnings[0];
    }
  }
}

TEST(ClockMender, RowsThatCameAtOnceAreSpreadWhereTheNextStampMakesUpForThem) {
  const auto late = [](std::size_t i, double t) { return i > 40 && i < 44 ? 4.0 : t; };
  expect_even(mend(late));
  // Without a longer step after them, nothing says when they came.
  const auto twice = [](std::size_t i, double t) {
    return i > 40 ? 0.1 * static_cast<double>(i - 1) : t;
  };
  const Mended kept = mend(twice);
  EXPECT_EQ(kept.times_s[41], kept.times_s[40]);
  EXPECT_NEAR(kept.times_s[42] - kept.times_s[41], 0.1, 1e-9);
}

TEST(ClockMender, RowsWrittenTwiceAreCounted) {
  const auto twice = [](std::size_t i, double) { return 0.1 * static_cast<double>(i - i / 50); };
  const Mended mended = mend(twice);  // rows 49 and 50 are one
  ASSERT_EQ(mended.warnings.size(), 1U);
  EXPECT_EQ(mended.warnings[0].substr(0, 26), "1 row has time, position a");
}

TEST(ClockMender, StampsOfWholeSecondsAreNoFault) {
  const Mended mended = mend([](std::size_t, double t) { return std::floor(t + 1e-9); });
  EXPECT_TRUE(mended.warnings.empty()) << mended.warnings[0];
  EXPECT_EQ(mended.times_s.back(), 9.0);
}

}  // namespace
}  // namespace sweepflux
