// A list of stops beside a log without angles: whether the two belong together.
#include "sweepflux/base/error.hpp"
#include "sweepflux/derive/log/follow_log.hpp"
#include "sweepflux/derive/log/reduce_log.hpp"
#include "tests/support/dice.hpp"
#include "tests/support/shared_folder.hpp"
#include "tests/support/simulated_log.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <fstream>
#include <optional>
#include <sstream>
#include <string>
#include <vector>

namespace sweepflux {
namespace {

constexpr std::size_t stops = 19;

/// As a plan's list: unequal times, settling listed.
std::vector<RigStop> planned_stops() {
  std::vector<RigStop> list;
  double start_s = 2.0;
  for (std::size_t i = 0; i < stops; ++i) {
    const bool outer = i < 3 || i + 3 > stops;
    list.push_back(
        {(-18.0 + 2.0 * static_cast<double>(i)) * degree_rad, start_s, 1.5, outer ? 3.0 : 6.0});
    start_s = end_s(list.back()) + 0.3;
  }
  return list;
}

struct Made {
  double lead_s = 0.0;
  double turbulence = 0.12;
  double peak_m_s = 3.0;
  double tail_s = 2.0;
  std::uint64_t seed = 1;
};

/// Rows of a vane before a rig that obeys the list `lead_s` after the log begins.
std::string log_of(const Made& made) {
  const std::vector<RigStop> list = planned_stops();
  test::SimulatedRig rig;
  rig.peak_m_s = made.peak_m_s;
  rig.floor_m_s = 0.1;
  rig.centre_deg = 0.0;
  test::Dice dice(made.seed);
  std::ostringstream out;
  out << "time [s],speed [m/s]\n";
  double eddy = 0.0;
  double shown = 0.0;
  std::size_t at = 0;
  for (int row = 0; row < 5.0 * (made.lead_s + end_s(list.back()) + made.tail_s); ++row) {
    const double time_s = 0.2 * row - made.lead_s;
    while (at + 1 < stops && time_s >= list[at + 1].start_s) {
      ++at;
    }
    eddy = 0.6 * eddy + 0.8 * dice.normal(1.0);
    const double now =
        rig.true_speed(list[at].position / degree_rad) * (1.0 + made.turbulence * eddy);
    shown = row == 0 ? now : shown + 0.4 * (now - shown);
    out << 0.2 * row << ',' << std::max(shown, 0.0) << '\n';
  }
  return out.str();
}

ReduceSettings settings_with(std::optional<double> begin_s) {
  ReduceSettings settings;
  settings.dwells.stops = planned_stops();
  settings.dwells.begin_s = begin_s;
  return settings;
}

ReducedLog reduced(const Made& made, std::optional<double> begin_s = {}) {
  const std::filesystem::path file = test::scratch_folder() / "log.csv";
  std::ofstream(file, std::ios::binary) << log_of(made);
  return reduce_log(file, settings_with(begin_s));
}

ReducedLog followed(const Made& made) {
  LogFollower follower("line", settings_with({}), {});
  follower.feed(log_of(made));
  return follower.finish();
}

std::string refusal(const Made& made) {
  try {
    (void)reduced(made);
  } catch (const NumericalError& error) {
    return error.what();
  }
  return "";
}

TEST(ListFit, RefusesALogThatBeganBeforeTheListDid) {
  for (const std::uint64_t seed : {1U, 2U, 3U, 4U}) {
    const std::string early = refusal({.lead_s = 10.0, .seed = seed});
    const std::size_t number = early.find("fits best when it begins at ") + 28;
    ASSERT_LT(number, early.size()) << early;
    EXPECT_NEAR(std::stod(early.substr(number)), 10.0, 0.7)
        << "the sensor lags by 0.4 s: " << early;
    EXPECT_NE(early.find("--begin"), std::string::npos);
  }
}

TEST(ListFit, TakesTheBeginThatWasFoundWhileTheRigRuns) {
  for (const std::uint64_t seed : {1U, 2U, 3U}) {
    const Made late{.lead_s = 5.0, .seed = seed};
    const ReducedLog log = followed(late);
    ASSERT_TRUE(log.pattern_begin_s);
    EXPECT_NEAR(*log.pattern_begin_s, 5.0, 0.7);
    ASSERT_FALSE(log.warnings.empty());
    EXPECT_NE(log.warnings.front().find("together with the rig"), std::string::npos);
    const ReducedLog stated = reduced(late, log.pattern_begin_s);
    ASSERT_EQ(log.readings.size(), stated.readings.size());
    for (std::size_t i = 0; i < stops; ++i) {
      EXPECT_EQ(log.readings[i].speed_m_s, stated.readings[i].speed_m_s) << i;
      EXPECT_EQ(log.readings[i].standard_error_m_s, stated.readings[i].standard_error_m_s) << i;
    }
    EXPECT_FALSE(followed({.seed = seed}).pattern_begin_s);
  }
}

TEST(ListFit, TakesSoundLogsWhateverTheirTurbulenceAndParking) {
  for (const std::uint64_t seed : {1U, 2U, 3U, 4U, 5U, 6U}) {
    EXPECT_EQ(refusal({.seed = seed}), "");
    EXPECT_EQ(refusal({.lead_s = 0.5, .seed = seed}), "") << "within the settling";
    EXPECT_EQ(refusal({.turbulence = 0.4, .seed = seed}), "");
    EXPECT_EQ(refusal({.tail_s = 90.0, .seed = seed}), "");
    EXPECT_EQ(refusal({.peak_m_s = 0.0, .seed = seed}), "") << "no stream at this height";
  }
}

TEST(ListFit, BelievesABeginThatIsStated) {
  const ReducedLog log = reduced({.lead_s = 10.0}, 10.0);
  ASSERT_EQ(log.readings.size(), stops);
  EXPECT_NEAR(log.readings[9].speed_m_s, 3.1, 0.3) << "the peak at the middle stop";
}

TEST(ListFit, SaysThatTheLogGoesOnAfterTheLastStop) {
  const auto said = [](const ReducedLog& log) {
    std::string all;
    for (const std::string& warning : log.warnings) {
      all += warning + "\n";
    }
    return all;
  };
  EXPECT_NE(said(reduced({.tail_s = 90.0})).find("the log goes on for 89"), std::string::npos)
      << said(reduced({.tail_s = 90.0}));
  EXPECT_EQ(said(reduced({})).find("goes on"), std::string::npos);
}

}  // namespace
}  // namespace sweepflux
