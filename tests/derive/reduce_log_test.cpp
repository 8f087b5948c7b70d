#include "sweepflux/derive/log/reduce_log.hpp"

#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/log/follow_log.hpp"
#include "sweepflux/derive/thrust/scale_log.hpp"
#include "sweepflux/derive/thrust/steady_watch.hpp"
#include "tests/support/shared_folder.hpp"
#include "tests/support/simulated_log.hpp"

#include <numbers>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <random>

namespace sweepflux {
namespace {

std::filesystem::path write(const std::string& text) {
  static const std::filesystem::path folder = test::scratch_folder();
  static int count = 0;
  auto file = folder / ("raw-" + std::to_string(++count) + ".csv");
  std::ofstream(file, std::ios::binary) << text;
  return file;
}

TEST(ReduceLog, BacklashIsFoundAndTakenOff) {
  test::SimulatedRig rig;
  rig.there_and_back = true;
  rig.backlash_deg = 0.5;
  rig.turbulence = 0.05;
  const ReducedLog reduced = reduce_log(write(test::log_text(rig.stop_and_go())), {});
  ASSERT_TRUE(reduced.backlash.has_value());
  EXPECT_TRUE(reduced.backlash_corrected);
  EXPECT_NEAR(reduced.backlash->half_gap.value / degree_rad, 0.5, 0.1);
  for (const ReducedReading& r : reduced.readings) {
    EXPECT_NEAR(r.speed_m_s, rig.true_speed(r.position / degree_rad), 0.12)
        << r.position / degree_rad;
  }
}

TEST(ReduceLog, DriftIsFoundAndTakenOff) {
  test::SimulatedRig rig;
  rig.stops = 5;
  rig.start_deg = -4.0;
  rig.turbulence = 0.02;
  rig.drift_per_hour = -2.0;
  auto samples = rig.stop_and_go();
  // The same five stops once more, later.
  const double end_s = samples.back().time_s + 0.01;
  auto again = samples;
  for (LogSample& sample : again) {
    sample.value *=
        (1.0 - 2.0 * (sample.time_s + end_s) / 3600.0) / (1.0 - 2.0 * sample.time_s / 3600.0);
    sample.time_s += end_s;
  }
  samples.insert(samples.end(), again.begin(), again.end());
  const ReducedLog reduced = reduce_log(write(test::log_text(samples)), {});
  ASSERT_TRUE(reduced.drift.has_value());
  EXPECT_TRUE(reduced.drift->significant);
  EXPECT_NEAR(reduced.drift->rate_per_s.value * 3600.0, -2.05, 0.4);
  EXPECT_TRUE(reduced.drift_corrected);
}

TEST(ReduceLog, TheRawFileIsNeverChanged) {
  test::SimulatedRig rig;
  const std::string text = test::log_text(rig.stop_and_go());
  const auto file = write(text);
  (void)reduce_log(file, {});
  std::ifstream in(file, std::ios::binary);
  EXPECT_EQ(std::string(std::istreambuf_iterator<char>(in), {}), text);
}

TEST(ReduceLog, GivesASweepForASurvey) {
  test::SimulatedRig rig;
  const Sweep sweep = sweep_of(reduce_log(write(test::log_text(rig.stop_and_go())), {}), 1.5, 0.9);
  EXPECT_EQ(sweep.readings.size(), 21U);
  EXPECT_EQ(sweep.distance_m, 1.5);
  EXPECT_GT(*sweep.readings[10].standard_error_m_s, 0.0);
  EXPECT_NEAR(sweep.readings[10].speed_m_s, rig.true_speed(0.0), 0.2);
}

TEST(ReduceLog, AContinuousSweepStatesItsCost) {
  test::SimulatedRig rig;
  rig.sensor_time_constant_s = 0.4;
  ReduceSettings settings;
  settings.continuous = true;
  const ReducedLog reduced = reduce_log(write(test::log_text(rig.continuous(2.0, 4))), settings);
  ASSERT_TRUE(reduced.continuous.has_value());
  bool cost = false;
  for (const std::string& remark : reduced.remarks) {
    cost = cost || remark.find("cost of not stopping") != std::string::npos;
  }
  EXPECT_TRUE(cost);
  EXPECT_NEAR(reduced.continuous->lag_s->value, 0.4, 0.2);
}

TEST(ReduceLog, FewDwellsOfFewValuesAreWarnedOf) {
  for (const int stops : {5, 21}) {
    test::SimulatedRig rig;
    rig.rate_hz = 2.0;
    rig.stops = stops;
    ReduceSettings settings;
    settings.dwells.settle_s = 0.0;
    const ReducedLog reduced = reduce_log(write(test::log_text(rig.stop_and_go())), settings);
    const bool warned = std::any_of(
        reduced.warnings.begin(), reduced.warnings.end(), [](const std::string& warning) {
          return warning.find("fewer than 27 values") != std::string::npos;
        });
    EXPECT_EQ(warned, stops == 5) << "twenty-one dwells tell their correlation together";
  }
}

TEST(ReduceLog, SonicLogIsNotGivenTheNaiveError) {
  // outside/README.md: the full record has an integral time of 8.3 s; one minute of it cannot be
  // worth 1200 values.
  SWEEPFLUX_NEED_SHARED(shared);
  LogFormat format;
  format.value = "Ux";
  LogReader reader(shared / "outside" / "sonic-log" / "sonic_20Hz_60s.dat", format);
  BlockSeries series;
  while (const LogSample* sample = reader.next()) {
    series.add(sample->value, sample->time_s, sample->line);
  }
  const StretchMean mean = mean_of_stretch(series, 0.0);
  EXPECT_NEAR(mean.mean, 1.01769, 1e-5);
  EXPECT_NEAR(mean.standard_deviation, 0.67538, 4e-4);
  const double naive = mean.standard_deviation / std::sqrt(1200.0);
  EXPECT_LT(mean.effective_samples, 20.0);
  EXPECT_GT(mean.integral_time_s, 1.0);
  EXPECT_GT(mean.standard_error, 7.0 * naive);
}

void expect_same(const ReducedLog& followed, const ReducedLog& whole) {
  ASSERT_EQ(followed.readings.size(), whole.readings.size());
  for (std::size_t i = 0; i < whole.readings.size(); ++i) {
    EXPECT_EQ(followed.readings[i].speed_m_s, whole.readings[i].speed_m_s);
    EXPECT_EQ(followed.readings[i].first_line, whole.readings[i].first_line);
    EXPECT_EQ(followed.readings[i].last_line, whole.readings[i].last_line);
    EXPECT_EQ(followed.readings[i].standard_error_m_s, whole.readings[i].standard_error_m_s);
    EXPECT_EQ(followed.readings[i].warnings, whole.readings[i].warnings);
  }
  EXPECT_EQ(followed.settle_s, whole.settle_s);
  EXPECT_EQ(followed.remarks, whole.remarks);
  EXPECT_EQ(followed.warnings, whole.warnings);
  EXPECT_EQ(followed.counts.rows, whole.counts.rows);
  EXPECT_EQ(followed.moving_rows, whole.moving_rows);
}

TEST(FollowLog, GivesWhatReduceGivesHoweverTheBytesCome) {
  test::SimulatedRig rig;
  rig.sensor_time_constant_s = 0.3;
  rig.lead_s = 60.0;
  for (const bool with_angle : {true, false}) {
    rig.lead_s = with_angle ? 60.0 : 2.0;
    rig.start_deg = with_angle ? -20.0 : -14.0;
    rig.stops = with_angle ? 21 : 15;
    const std::string text = test::log_text(rig.stop_and_go(), with_angle);
    ReduceSettings settings;
    if (!with_angle) {
      settings.pattern = StepPattern{-14.0 * std::numbers::pi / 180.0, 2.0 * std::numbers::pi / 180.0, 15, 1.5, 4.5, 0.3, false};
    }
    const ReducedLog whole = reduce_log(write(text), settings);
    std::size_t reported = 0;
    LogFollower follower("log", settings, [&](std::span<const Dwell> dwells, const FollowMark&) {
      reported += dwells.size();
    });
    for (std::size_t i = 0; i < text.size(); i += 333) {
      follower.feed(std::string_view(text).substr(i, 333));
    }
    EXPECT_GE(reported + 1, whole.readings.size()) << "stops are reported as they end";
    expect_same(follower.finish(), whole);
  }
}

TEST(FollowLog, RefusesWideTextWithTheNameOfItsSource) {
  LogFollower follower("wide.csv", {}, {});
  try {
    follower.feed(std::string_view("\xFF\xFEt\0i\0m\0", 8));
    FAIL() << "accepted";
  } catch (const InputError& error) {
    EXPECT_STREQ(error.what(), "wide.csv: this is UTF-16 text; save it as CSV in UTF-8");
  }
}

TEST(FollowLog, GoesOnWithAStreamAfterAKill) {
  test::SimulatedRig rig;
  rig.sensor_time_constant_s = 0.3;
  const std::string text = test::log_text(rig.stop_and_go());
  ReduceSettings settings;
  settings.dwells.settle_s = 1.5;
  const ReducedLog whole = reduce_log(write(text), settings);
  std::vector<Dwell> kept;
  FollowMark mark;
  {
    LogFollower first("log", settings, [&](std::span<const Dwell> dwells, const FollowMark& at) {
      kept.insert(kept.end(), dwells.begin(), dwells.end());
      mark = at;
    });
    first.feed(std::string_view(text).substr(0, text.size() * 7 / 10));
  }  // killed
  ASSERT_GE(kept.size(), 12U);
  LogFollower second("log", settings, {});
  second.resume(kept, mark);
  // The stream goes on with a heading of its own, at the next stop.
  const std::string heading = text.substr(0, text.find('\n') + 1);
  second.feed(heading + text.substr(mark.byte));
  const ReducedLog followed = second.finish();
  ASSERT_EQ(followed.readings.size(), whole.readings.size());
  for (std::size_t i = 0; i < kept.size(); ++i) {
    EXPECT_EQ(followed.readings[i].speed_m_s, whole.readings[i].speed_m_s);
  }
}

TEST(FollowLog, SurvivesARestartOfTheLogger) {
  test::SimulatedRig rig;
  const std::string text = test::log_text(rig.stop_and_go());
  LogFollower follower("log", {}, {});
  const std::size_t cut = text.find('\n', text.size() / 2) - 4;
  follower.feed(std::string_view(text).substr(0, cut));  // ends in half a line
  follower.restart();
  follower.feed(text);
  const ReducedLog reduced = follower.finish();
  EXPECT_GE(reduced.readings.size(), 31U);
  EXPECT_EQ(reduced.counts.segments, 2U);
}

/// A scale at 5 Hz: each level is approached exponentially.
std::vector<LogSample> scale_samples(const std::vector<double>& levels_g,
                                     double time_constant_s,
                                     double drift_g_per_s = 0.0) {
  std::mt19937_64 random(4);
  std::normal_distribution<double> normal(0.0, 0.15);
  std::vector<LogSample> samples;
  double shown = levels_g.front();
  for (const double level : levels_g) {
    for (int i = 0; i < 250; ++i) {
      shown += (level - shown) * 0.2 / time_constant_s;
      LogSample sample;
      sample.time_s = 0.2 * static_cast<double>(samples.size());
      const double grams =
          std::round(10.0 * (shown + drift_g_per_s * sample.time_s + normal(random))) / 10.0;
      sample.value = grams * 9.80665e-3;
      sample.line = samples.size() + 2;
      samples.push_back(sample);
    }
  }
  return samples;
}

ScaleLog reduce(const std::vector<LogSample>& samples, const ScaleOptions& options) {
  ScaleReducer reducer(options);
  for (const LogSample& sample : samples) {
    reducer.add(sample);
  }
  return reducer.finish();
}

TEST(ScaleLog, FindsThrustOfEachSettingWithItsZeroAndDrift) {
  ScaleOptions options;
  options.resolution_n = 0.1 * 9.80665e-3;
  const ScaleLog log = reduce(scale_samples({0.3, 60.0, 95.0, 140.0, 0.3}, 1.5, 0.004), options);
  ASSERT_EQ(log.settings.size(), 3U);
  const double truth_g[] = {59.7, 94.7, 139.7};
  for (std::size_t i = 0; i < 3; ++i) {
    const PlateauThrust& setting = log.settings[i];
    EXPECT_NEAR(setting.thrust_n.value,
                truth_g[i] * 9.80665e-3,
                2.5 * setting.thrust_n.standard_uncertainty);
    EXPECT_LT(setting.thrust_n.standard_uncertainty, 0.4 * 9.80665e-3);
    EXPECT_TRUE(setting.steady);
    EXPECT_TRUE(setting.bracketed);
  }
  EXPECT_NEAR(log.zero_drift_n, 0.8 * 9.80665e-3, 0.15 * 9.80665e-3);
  for (const Plateau& plateau : log.plateaus) {
    EXPECT_LT(plateau.settle_s, 20.0);
  }
}

TEST(ScaleLog, ACheckMassGivesTheLeversRatio) {
  ScaleOptions options;
  options.sequence = {"off", "check", "off", "low", "off"};
  options.check_mass_n = 0.2 * 9.80665;
  const ScaleLog log = reduce(scale_samples({1.0, 161.0, 1.0, 81.0, 1.0}, 0.8), options);
  EXPECT_TRUE(log.ratio_from_check_mass);
  EXPECT_NEAR(log.lever_ratio.value, 0.8, 0.002);
  ASSERT_EQ(log.settings.size(), 1U);
  EXPECT_EQ(log.settings[0].label, "low");
  EXPECT_NEAR(log.settings[0].thrust_n.value, 0.1 * 9.80665, 0.005);
}

TEST(ScaleLog, AStatedRatioThatTheCheckMassDeniesIsRefused) {
  ScaleOptions options;
  options.sequence = {"off", "check", "off", "low", "off"};
  options.check_mass_n = 0.2 * 9.80665;
  options.stated_ratio = 0.73;
  const auto samples = scale_samples({1.0, 201.0, 1.0, 81.0, 1.0}, 0.8);  // 200 g on the pan
  try {
    (void)reduce(samples, options);
    FAIL() << "accepted";
  } catch (const InputError& error) {
    const std::string words = error.what();
    EXPECT_NE(words.find("0.73"), std::string::npos) << words;
    EXPECT_NE(words.find("the check mass says 1"), std::string::npos) << words;
    EXPECT_NE(words.find("on the scale's pan"), std::string::npos) << words;
  }
  options.stated_ratio = 1.0;
  EXPECT_NEAR(reduce(samples, options).settings[0].thrust_n.value, 0.08 * 9.80665, 0.005);
}

TEST(ScaleLog, WithLabelsItGivesWhatItGivesWithoutThem) {
  ScaleOptions options;
  auto samples = scale_samples({0.3, 60.0, 140.0, 0.3}, 1.5, 0.014);
  const ScaleLog plain = reduce(samples, options);
  const char* const labels[] = {"off", "1", "2", "off"};
  for (std::size_t i = 0; i < samples.size(); ++i) {
    samples[i].label = labels[i / 250];
  }
  for (const bool stated : {false, true}) {
    if (stated) {
      options.settle_s = 12.0;
    }
    const ScaleLog labelled = reduce(samples, options);
    ASSERT_EQ(labelled.settings.size(), 2U);
    for (std::size_t i = 0; i < 2; ++i) {
      EXPECT_NEAR(labelled.settings[i].thrust_n.value, plain.settings[i].thrust_n.value, 0.003);
    }
    EXPECT_NEAR(labelled.zero_drift_n, 150.0 * 0.014 * 9.80665e-3, 0.3 * 9.80665e-3);
    for (const Plateau& plateau : labelled.plateaus) {
      EXPECT_GE(plateau.settle_s, stated ? 11.9 : 0.0);
    }
  }
}

TEST(ScaleLog, ALogWithoutThrustIsRefused) {
  EXPECT_THROW((void)reduce(scale_samples({50.0}, 1.0), {}), NumericalError);
}

TEST(ScaleLog, SaysNotYetSteady) {
  const ScaleLog log = reduce(scale_samples({0.0, 100.0, 0.0}, 25.0), {});
  bool said = false;
  for (const std::string& warning : log.warnings) {
    said = said || warning.find("not yet steady") != std::string::npos;
  }
  EXPECT_TRUE(said);
  SteadyWatch watch(6.0);
  bool early = false;
  const auto samples = scale_samples({0.0, 100.0}, 2.0);
  for (std::size_t i = 0; i < samples.size(); ++i) {
    watch.add(samples[i].time_s, samples[i].value);
    if (i == 250 + 20) {
      early = watch.steady();
    }
  }
  EXPECT_FALSE(early);
  EXPECT_TRUE(watch.steady());
}

TEST(ScaleLog, AStepWithinTheWindowIsNeverSteady) {
  std::mt19937_64 random(4);
  std::normal_distribution<double> noise(0.0, 0.004);
  SteadyWatch watch;
  int steady = 0;
  for (int i = 0; i < 400; ++i) {
    const double time_s = 0.2 * i;
    watch.add(time_s, (time_s < 40.0 ? 0.6 : 0.0) + noise(random));
    const bool mixed = time_s > 40.8 && time_s < 45.0;
    EXPECT_FALSE(mixed && watch.steady()) << time_s << " s, mean " << watch.mean_n() << " N";
    steady += watch.steady() ? 1 : 0;
  }
  EXPECT_GT(steady, 250);
}

TEST(ScaleLog, ASequenceThatDoesNotFitIsRefusedWithWhatWasFound) {
  ScaleOptions options;
  options.sequence = {"off", "1", "off"};
  EXPECT_THROW((void)reduce(scale_samples({0.0, 50.0, 80.0, 0.0}, 1.0), options), InputError);
  EXPECT_THROW((void)reduce({}, {}), NumericalError);
}

TEST(ScaleLog, TheAwkwardCaseWithItsChangeOfUnitComesOutRight) {
  // cases/README.md, case-23: linear zero, mean 0.60260 N, the drift stated.
  SWEEPFLUX_NEED_SHARED(shared);
  const ScaleLog log = reduce_scale_log(shared / "cases" / "case-23.csv", {}, {});
  ASSERT_EQ(log.settings.size(), 1U);
  EXPECT_NEAR(log.settings[0].thrust_n.value, 0.60260, 5e-6);
  EXPECT_NEAR(log.settings[0].zero_drift_n, 1.2 * 9.80665e-3, 1e-9);
}

}  // namespace
}  // namespace sweepflux
