#include "sweepflux/derive/log/sensor_watch.hpp"

#include "sweepflux/derive/log/dwells.hpp"
#include "tests/support/simulated_log.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

namespace sweepflux {
namespace {

std::vector<Dwell> find(const std::vector<LogSample>& samples) {
  std::vector<Dwell> dwells;
  DwellFinder finder({}, [&](Dwell dwell) { dwells.push_back(std::move(dwell)); });
  for (const LogSample& sample : samples) {
    finder.add(sample);
  }
  finder.finish();
  return dwells;
}

bool warns_of(const std::vector<std::string>& warnings, const std::string& word) {
  return std::any_of(warnings.begin(), warnings.end(), [&](const std::string& warning) {
    return warning.find(word) != std::string::npos;
  });
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
  std::vector<Dwell> dwells = find(samples);
  ASSERT_EQ(dwells.size(), 21U);
  watch_sensor(dwells, 0.2, 2.9);
  EXPECT_TRUE(warns_of(dwells[8].warnings, "stuck"));
  EXPECT_TRUE(warns_of(dwells[10].warnings, "saturated"));
  EXPECT_TRUE(warns_of(dwells[12].warnings, "stalled"));
  EXPECT_TRUE(warns_of(dwells[13].warnings, "drop-outs: 63 of 630"));
  EXPECT_TRUE(warns_of(dwells[14].warnings, "over range"));
  for (const std::size_t sound : {5U, 6U, 7U, 16U}) {
    EXPECT_TRUE(dwells[sound].warnings.empty()) << dwells[sound].warnings[0];
  }
}

TEST(SensorWatch, CalmOrCoarseSignalsAreNeitherSaturatedNorStuck) {
  for (const auto& [turbulence, resolution_m_s] :
       {std::pair{0.0, 0.01}, {0.0005, 0.01}, {0.003, 0.01}, {0.02, 0.1}, {0.1, 0.1}, {0.1, 0.2}}) {
    for (std::uint64_t seed = 1; seed <= 10; ++seed) {
      test::SimulatedRig rig;
      rig.floor_m_s = 0.15;
      rig.turbulence = turbulence;
      rig.resolution_m_s = resolution_m_s;
      rig.sensor_time_constant_s = 0.2;
      rig.rate_hz = 10.0;
      rig.seed = seed;
      std::vector<Dwell> dwells = find(rig.stop_and_go());
      watch_sensor(dwells, 0.0, 0.0);
      for (const Dwell& dwell : dwells) {
        EXPECT_FALSE(warns_of(dwell.warnings, "saturated")) << turbulence << " " << resolution_m_s;
        EXPECT_FALSE(warns_of(dwell.warnings, "stuck")) << turbulence << " " << resolution_m_s;
      }
    }
  }
}

TEST(SensorWatch, ASensorStuckAtMostStopsIsNamedAtEach) {
  test::SimulatedRig rig;
  rig.rate_hz = 10.0;
  auto samples = rig.stop_and_go();
  for (std::size_t i = 63 * 8 + 20; i < samples.size(); ++i) {  // 63 rows a stop
    samples[i].value = samples[63 * 8 + 20].value;
  }
  std::vector<Dwell> dwells = find(samples);
  ASSERT_EQ(dwells.size(), 21U);
  watch_sensor(dwells, 0.0, 0.0);
  for (std::size_t i = 0; i < dwells.size(); ++i) {
    EXPECT_EQ(warns_of(dwells[i].warnings, "stuck: "), i >= 8) << i;
  }
}

TEST(SensorWatch, ATopOfTheRangeThatNobodyStatedShowsInATurbulentSignal) {
  test::SimulatedRig rig;
  auto samples = rig.stop_and_go();
  for (LogSample& sample : samples) {
    sample.value = std::min(sample.value, 2.9);
  }
  std::vector<Dwell> dwells = find(samples);
  watch_sensor(dwells, 0.0, 0.0);
  EXPECT_TRUE(warns_of(dwells[10].warnings, "saturated"));
}

TEST(SensorWatch, SaysWhenADwellIsTooShortForItsTurbulence) {
  test::SimulatedRig rig;
  rig.integral_time_s = 0.8;
  rig.turbulence = 0.3;
  std::vector<Dwell> dwells = find(rig.stop_and_go());
  watch_sensor(dwells, 0.0, 0.0);
  std::size_t warned = 0;
  for (const Dwell& dwell : dwells) {
    warned += warns_of(dwell.warnings, "too short for its turbulence") ? 1U : 0U;
  }
  EXPECT_GE(warned, 16U);
}

}  // namespace
}  // namespace sweepflux
