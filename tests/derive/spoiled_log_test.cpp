#include "tests/support/spoiled_log.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/derive/log/reduce_log.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <map>
#include <numbers>

namespace sweepflux {
namespace {

ReducedLog reduce(const std::string& text, const ReduceSettings& settings = {}) {
  static const std::filesystem::path file = test::scratch_folder() / "spoiled.csv";
  std::ofstream(file, std::ios::binary) << text;
  return reduce_log(file, settings);
}

std::map<int, double> speeds(const ReducedLog& reduced, const test::SimulatedRig& rig) {
  std::map<int, double> all;
  for (const ReducedReading& r : reduced.readings) {
    const double degrees = r.position * 180.0 / std::numbers::pi;
    all[static_cast<int>(std::lround((degrees - rig.start_deg) / rig.step_deg))] = r.speed_m_s;
  }
  return all;
}

/// Every stop there or named, and no other reading changed. False when a settling time that was
/// found changed with the log: then all readings may.
void expect_kept(std::uint64_t seed, bool settling_stated, int& changed_settling) {
  const test::SimulatedRig rig = test::some_rig(seed);
  const auto samples = rig.stop_and_go();
  ReduceSettings settings;
  if (settling_stated) {
    settings.dwells.settle_s = 0.3 * rig.rest_s;
  }
  const ReducedLog whole = reduce(test::log_text(samples), settings);
  const auto fate = static_cast<test::LogFate>(seed % test::log_fates);
  SCOPED_TRACE(std::string(word_for(fate)) + ", seed " + std::to_string(seed));
  const test::SpoiledLog spoiled = spoil(samples, fate, seed);
  const ReducedLog reduced = reduce(spoiled.text, settings);
  const auto before = speeds(whole, rig);
  const auto after = speeds(reduced, rig);
  EXPECT_EQ(after.size(), reduced.readings.size()) << "one dwell stays one";
  EXPECT_GE(after.size() + reduced.left_out.size(), before.size());
  if (reduced.settle_s != whole.settle_s) {
    ++changed_settling;
    return;
  }
  for (const auto& [stop, speed] : before) {
    if (spoiled.touched.count(stop) == 0) {
      const auto found = after.find(stop);
      ASSERT_NE(found, after.end()) << stop;
      EXPECT_NEAR(found->second, speed, 1e-6) << stop;
    }
  }
}

TEST(SpoiledLog, WhateverBefallsOneStopTheOthersReadAsBefore) {
  int changed = 0;
  for (std::uint64_t seed = 1; seed <= 45; ++seed) {
    expect_kept(seed, true, changed);
  }
  EXPECT_EQ(changed, 0);
}

TEST(SpoiledLog, TheSettlingThatIsFoundHardlyEverDependsOnOneStop) {
  int changed = 0;
  for (std::uint64_t seed = 101; seed <= 145; ++seed) {
    expect_kept(seed, false, changed);
  }
  EXPECT_LE(changed, 2);
}

TEST(SpoiledLog, ParkingBeforeAndAfterASweepChangesNothingOfItsSettling) {
  int compared = 0;
  for (std::uint64_t seed = 201; seed <= 230; ++seed) {
    const test::SimulatedRig rig = test::some_rig(seed);
    // Fewer stops: the two outer ones are still steps of the sweep, of which a longer rest shows
    // more, but their lengths say nothing.
    const double change = rig.stops < 12 ? 0.1 : 1e-9;
    ++compared;
    const auto samples = rig.stop_and_go();
    const ReducedLog whole = reduce(test::log_text(samples));
    for (const test::LogFate fate : {test::LogFate::parked_start, test::LogFate::parked_end}) {
      const ReducedLog parked = reduce(spoil(samples, fate, seed).text);
      EXPECT_EQ(parked.settle_s, whole.settle_s) << seed << word_for(fate);
      EXPECT_NEAR(parked.step_response.settle_s,
                  whole.step_response.settle_s,
                  change * whole.step_response.settle_s)
          << seed << word_for(fate);
    }
  }
  EXPECT_EQ(compared, 30);
}

bool have(const std::vector<std::string>& words, const std::string& word) {
  return std::any_of(words.begin(), words.end(), [&](const std::string& one) {
    return one.find(word) != std::string::npos;
  });
}

std::vector<std::string> all_warnings(const ReducedLog& reduced) {
  std::vector<std::string> all = reduced.warnings;
  for (const ReducedReading& r : reduced.readings) {
    all.insert(all.end(), r.warnings.begin(), r.warnings.end());
  }
  return all;
}

TEST(SpoiledLog, ASlipOfTheDecimalPointMovesNoSettlingAndIsNamed) {
  test::SimulatedRig rig;
  rig.rate_hz = 10.0;
  rig.sensor_time_constant_s = 0.4;
  const auto samples = rig.stop_and_go();
  const ReducedLog whole = reduce(test::log_text(samples));
  EXPECT_FALSE(have(all_warnings(whole), "stands far off"));
  // Early and late in a rest of 63 rows, so before a step and after one.
  for (const std::size_t row : {505U, 562U}) {
    for (const double factor : {10.0, 1000.0}) {
      auto slipped = samples;
      slipped[row].value *= factor;
      const ReducedLog reduced = reduce(test::log_text(slipped));
      EXPECT_EQ(reduced.settle_s, whole.settle_s) << row << " " << factor;
      const std::string line = "line " + std::to_string(row + 2) + ": ";
      const bool too_fast = slipped[row].value > 150.0;
      const bool read = row + 2 >= reduced.readings[8].first_line;
      if (too_fast || read) {
        EXPECT_TRUE(have(all_warnings(reduced), line)) << row << " " << factor;
      }
      for (const std::size_t stop : {0U, 7U, 9U, 20U}) {
        EXPECT_EQ(reduced.readings[stop].speed_m_s, whole.readings[stop].speed_m_s);
      }
      if (too_fast) {
        EXPECT_NEAR(reduced.readings[8].speed_m_s, whole.readings[8].speed_m_s, 0.05);
      }
    }
  }
}

TEST(SpoiledLog, AnglesInAnotherUnitAreNoticed) {
  test::SimulatedRig rig;
  rig.rate_hz = 10.0;
  auto samples = rig.stop_and_go();
  for (LogSample& sample : samples) {
    sample.position *= std::numbers::pi / 180.0;  // radians, called degrees
  }
  EXPECT_THROW((void)reduce(test::log_text(samples)), NumericalError);
  samples = rig.stop_and_go();
  for (LogSample& sample : samples) {
    sample.position *= 180.0 / std::numbers::pi;
  }
  EXPECT_TRUE(have(reduce(test::log_text(samples)).warnings,
                   "the angles run from -1146 deg to 1146 deg, more than a turn"));
}

TEST(SpoiledLog, OneReadingOfAFewRowsIsNoSweep) {
  test::SimulatedRig rig;
  rig.rate_hz = 10.0;
  const auto samples = rig.stop_and_go();
  std::vector<LogSample> hurried;
  for (std::size_t stop = 0; stop < 21; ++stop) {  // four rows at each of the others
    const auto from = samples.begin() + static_cast<std::ptrdiff_t>(63 * stop);
    hurried.insert(hurried.end(), from, from + (stop == 10 ? 63 : 4));
  }
  for (std::size_t i = 0; i < hurried.size(); ++i) {
    hurried[i].time_s = 0.1 * static_cast<double>(i);
  }
  EXPECT_THROW((void)reduce(test::log_text(hurried)), NumericalError);
  hurried.assign(samples.begin(), samples.begin() + 63);
  EXPECT_EQ(reduce(test::log_text(hurried)).readings.size(), 1U) << "one rest, and nothing else";
}

TEST(SpoiledLog, ALogOfTwoRowsOrOfOneMomentSaysSo) {
  const std::string heading = "time [s],angle [deg],speed [m/s]\n";
  try {
    (void)reduce(heading + "0,1,2\n1,1,2\n");
    FAIL() << "accepted";
  } catch (const NumericalError& error) {
    EXPECT_STREQ(error.what(), "no dwell was found: two rows are all that the log holds");
  }
  std::string rows;
  for (int i = 0; i < 200; ++i) {
    rows += "5," + std::to_string(i / 40) + "," + std::to_string(1 + i % 3) + "\n";
  }
  EXPECT_TRUE(have(reduce(heading + rows).warnings, "all rows have the same time"));
}

TEST(SpoiledLog, ParkedRestsAreNamedWithTheirLines) {
  test::SimulatedRig rig;
  rig.rate_hz = 20.0;
  const auto samples = rig.stop_and_go();
  const auto remarks_have = [](const ReducedLog& reduced, const std::string& word) {
    return std::any_of(
        reduced.remarks.begin(), reduced.remarks.end(), [&](const std::string& remark) {
          return remark.find(word) != std::string::npos;
        });
  };
  for (const std::uint64_t seed : {1U, 2U, 3U}) {
    const ReducedLog start = reduce(spoil(samples, test::LogFate::parked_start, seed).text);
    EXPECT_TRUE(remarks_have(start, "the log starts parked at -20 deg for ")) << seed;
    EXPECT_TRUE(remarks_have(start, "(lines 2 to ")) << seed;
    EXPECT_EQ(start.readings.size(), 21U);
    const ReducedLog end = reduce(spoil(samples, test::LogFate::parked_end, seed).text);
    EXPECT_TRUE(remarks_have(end, "the log ends parked at 20 deg for ")) << seed;
    EXPECT_LT(start.readings[0].dwell_s, 6.5) << "no longer than the others";
  }
}

TEST(SpoiledLog, ASweepThatLostMostOfItsStopsIsRefusedWithTheReason) {
  test::SimulatedRig rig;
  rig.rate_hz = 20.0;
  auto samples = rig.stop_and_go();
  for (LogSample& sample : samples) {
    sample.value = sample.position > -0.3 ? 1e300 : sample.value;
  }
  std::string text = test::log_text(samples);
  for (std::size_t at = text.find(",1000000"); at != std::string::npos;
       at = text.find(",1000000", at)) {
    text.replace(at + 1, text.find('\n', at) - at - 1, "---");
  }
  try {
    (void)reduce(text);
    FAIL() << "accepted";
  } catch (const NumericalError& error) {
    EXPECT_EQ(std::string(error.what()).substr(0, 37), "only 2 of 21 stops gave a reading: li")
        << error.what();
  }
}

TEST(SpoiledLog, FeetAMinuteCalledMetresASecondAreRefusedForWhatTheyAre) {
  test::SimulatedRig rig;
  rig.rate_hz = 10.0;
  rig.floor_m_s = 1.0;
  auto samples = rig.stop_and_go();
  for (LogSample& sample : samples) {
    sample.value *= 196.85;
  }
  try {
    (void)reduce(test::log_text(samples));
    FAIL() << "accepted";
  } catch (const Error& error) {
    EXPECT_NE(std::string(error.what()).find("more than 150 m/s: is the unit right?"),
              std::string::npos)
        << error.what();
  }
}

TEST(SpoiledLog, PlacesPassedOnTheWayAreNoLostStops) {
  test::SimulatedRig rig;  // turned by hand, the angle shown in whole degrees, a second each
  rig.rate_hz = 10.0;
  rig.rest_s = 12.0;
  rig.step_deg = 5.0;
  rig.stops = 9;
  auto samples = rig.stop_and_go();
  for (std::size_t i = 123; i < samples.size(); ++i) {
    const std::size_t since = i % 123 / 10;
    if (since < 4) {
      samples[i].position -= (4.0 - static_cast<double>(since)) * std::numbers::pi / 180.0;
    }
  }
  const ReducedLog reduced = reduce(test::log_text(samples));
  EXPECT_EQ(reduced.readings.size(), 9U);
  EXPECT_EQ(reduced.unused_rests.size(), 32U);
  EXPECT_TRUE(reduced.left_out.empty());
}

TEST(SpoiledLog, ALogWithoutOneUsableRowIsAFaultOfTheInput) {
  EXPECT_THROW((void)reduce("time [s],angle [deg],speed [m/s]\n0,1,x\n1,1,y\n2,1,z\n"), InputError);
}

TEST(SpoiledLog, TheAwkwardCasesGiveAllTheirStops) {
  // cases/README.md: parked-300s, clock-forward-1h, one-bad-digit.
  SWEEPFLUX_NEED_SHARED(shared);
  const auto of = [&](const char* name) { return reduce_log(shared / "cases" / name, {}); };
  const ReducedLog parked = of("parked-300s.csv");
  EXPECT_EQ(parked.readings.size(), 25U);
  EXPECT_NEAR(parked.readings[12].speed_m_s, 2.6, 0.02);
  const ReducedLog stepped = of("clock-forward-1h.csv");
  const ReducedLog bad = of("one-bad-digit.csv");
  ASSERT_EQ(stepped.readings.size(), 15U);
  ASSERT_EQ(bad.readings.size(), 15U);
  EXPECT_NE(stepped.warnings.front().find("before line 603"), std::string::npos);
  EXPECT_EQ(bad.warnings.front().substr(0, 9), "line 601:");
  for (std::size_t i = 0; i < 15; ++i) {
    EXPECT_NEAR(stepped.readings[i].speed_m_s, bad.readings[i].speed_m_s, 1e-9);
  }
}

}  // namespace
}  // namespace sweepflux
