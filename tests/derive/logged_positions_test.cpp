// Logs that hold where the rig stands, also while it moves.
#include "sweepflux/base/error.hpp"
#include "sweepflux/derive/log/reduce_log.hpp"
#include "tests/support/dice.hpp"
#include "tests/support/hand_made.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <sstream>
#include <string>

namespace sweepflux {
namespace {

using test::degree;

constexpr double lag_s = 0.8;
constexpr double turn_s = 1.0;
constexpr double still_s = 9.0;
constexpr int stop_count = 17;

double turning_speed(double angle_deg) {
  return 0.2 + 2.5 * std::exp(-std::pow(angle_deg / 9.0, 2));
}

/// Seventeen stops, 3 deg apart from -24 deg on; turns evenly from one to the next.
std::string turning_log(std::uint64_t seed, const std::string& heading, double unit_deg) {
  constexpr double rate_hz = 10.0;
  test::Dice dice(seed);
  std::ostringstream text;
  text << heading << '\n';
  double shown = turning_speed(-24.0);
  const auto rows = static_cast<long>(rate_hz * stop_count * (turn_s + still_s));
  for (long row = 0; row < rows; ++row) {
    const double time_s = static_cast<double>(row) / rate_hz;
    const double stop = std::floor(time_s / (turn_s + still_s));
    const double within_s = time_s - stop * (turn_s + still_s);
    const double turned = stop < 1.0 ? 1.0 : std::min(1.0, within_s / turn_s);
    const double angle_deg = -24.0 + 3.0 * (stop - 1.0 + turned);
    const double wind = turning_speed(angle_deg) * (1.0 + dice.normal(0.1));
    shown += (wind - shown) * (1.0 - std::exp(-1.0 / rate_hz / lag_s));
    text << time_s << ',' << angle_deg / unit_deg << ',' << shown << '\n';
  }
  return text.str();
}

ReducedLog reduced_turning(const std::string& text, const ReduceSettings& settings = {}) {
  const std::filesystem::path file = test::scratch_folder() / "log.csv";
  std::ofstream(file, std::ios::binary) << text;
  return reduce_log(file, settings);
}

TEST(LoggedPositions, SettlingIsReadWhereTheStepIsHalfOverBeforeTheRest) {
  for (const std::uint64_t seed : {1U, 2U, 3U, 4U}) {
    const ReducedLog log =
        reduced_turning(turning_log(seed, "time [s],angle [deg],speed [m/s]", 1.0));
    ASSERT_TRUE(log.step_response.seen) << seed;
    EXPECT_NEAR(log.step_response.time_constant_s, lag_s, 0.2) << seed;
    // Of the step, 4/5 (1 - exp(-5/4)) are left when the rest begins, and 1 % when it is settled.
    const double settle_s = lag_s * std::log(0.8 * (1.0 - std::exp(-1.25)) / 0.01);
    EXPECT_NEAR(log.step_response.settle_s, settle_s, 0.25 * settle_s) << seed;
  }
}

TEST(LoggedPositions, MayBeInStepsOfTheMotor) {
  const std::string text = turning_log(1, "time [s],angle [steps],speed [m/s]", 0.028125);
  ReduceSettings settings;
  settings.format.motor_step = 0.028125 * degree;
  const ReducedLog log = reduced_turning(text, settings);
  ASSERT_EQ(log.readings.size(), 17U);
  EXPECT_NEAR(log.readings.front().position, -24.0 * degree, 1e-4);
  try {
    (void)reduced_turning(text);
    FAIL() << "accepted without the size of a step";
  } catch (const SurveyError& error) {
    EXPECT_NE(std::string(error.what()).find("--motor-step"), std::string::npos) << error.what();
  }
}

TEST(LoggedPositions, ThatAreNotThoseOfTheListRefuseIt) {
  const std::string text = turning_log(1, "time [s],angle [deg],speed [m/s]", 1.0);
  ReduceSettings settings;
  settings.pattern.emplace();
  settings.pattern->start = -24.0 * degree;
  settings.pattern->step = 3.0 * degree;
  settings.pattern->stops = stop_count;
  settings.pattern->dwell_s = still_s;
  settings.pattern->move_s = turn_s;
  settings.dwells.begin_s = 0.0;
  EXPECT_EQ(reduced_turning(text, settings).readings.size(), 17U);
  settings.pattern->start = -12.0 * degree;
  settings.pattern->step = 1.5 * degree;
  EXPECT_THROW((void)reduced_turning(text, settings), InputError);
}

}  // namespace
}  // namespace sweepflux
