#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/sample/air.hpp"
#include "tests/command/run.hpp"
#include "tests/support/pseudo_terminal.hpp"
#include "tests/support/rig_loop.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <memory>
#include <string>
#include <thread>
#include <vector>

namespace sweepflux {
namespace {

namespace fs = std::filesystem;
using test::ProcessResult;
using test::run;

TEST(RigLoop, PlansFollowsAndMapsUntilItMayStopWithNoFileEditedByHand) {
  const fs::path top = test::scratch_folder();
  const fs::path survey = top / "survey.toml";
  const std::string before = test::rig_survey_text() + "target = \"30 %\"\n";
  std::ofstream(survey, std::ios::binary) << before;
  const test::DrivenRig rig = test::driven_rig(test::known_field("gauss"), 7);
  test::FollowRun one;
  one.program = SWEEPFLUX_PROGRAM;
  one.survey = survey;
  const test::LoopOutcome loop = test::run_rig_loop(one, rig, 6);
  ASSERT_EQ(loop.fault, "");
  EXPECT_TRUE(loop.stopped) << loop.sweeps << " sweeps";
  EXPECT_LT(loop.longest_text, 90U) << "a line a stop, and few besides";
  EXPECT_TRUE(fs::exists(top / "plan" / "motor-steps.csv"));
  const std::string after = test::file_content(survey);
  EXPECT_EQ(after.substr(0, before.size()), before) << "comments and all";
  const ProcessResult mapped = run({"map", survey.string(), "--json"});
  ASSERT_EQ(mapped.exit_code, 0) << mapped.err;
  const auto plane = nlohmann::json::parse(mapped.out).at("planes").at(0);
  ASSERT_TRUE(plane.at("momentum_flux_n").is_object())
      << loop.sweeps << " sweeps, withheld: " << plane.value("withheld", "");
  const test::ExactFlux exact = rig.field->exact(1.8);
  const double density = air_density_kg_m3(AirState{}).value;
  const auto momentum = plane.at("momentum_flux_n").at("interval_95");
  EXPECT_LT(momentum[0].get<double>(), density * exact.momentum_over_density_m4_s2);
  EXPECT_GT(momentum[1].get<double>(), density * exact.momentum_over_density_m4_s2);
  const auto flow = plane.at("volume_flow_m3_s").at("interval_95");
  EXPECT_LT(flow[0].get<double>(), exact.volume_flow_m3_s);
  EXPECT_GT(flow[1].get<double>(), exact.volume_flow_m3_s);
}

/// By the clock: a busy processor makes its stamps late, so it runs beside no other.
TEST(RigClock, BareLinesOfASerialAnemometerAreStampedAsTheyCome) {
  const fs::path top = test::scratch_folder();
  std::string quick = test::rig_survey_text();
  const auto replace = [&](const std::string& from, const std::string& to) {
    quick.replace(quick.find(from), from.size(), to);
  };
  replace("settle_time = \"1.5 s\"", "settle_time = \"0.2 s\"");
  replace("dwell_time = \"5 s\"", "dwell_time = \"0.4 s\"");
  replace("feed = \"20 deg/s\"", "feed = \"200 deg/s\"");
  test::FollowRun one;
  one.program = SWEEPFLUX_PROGRAM;
  one.survey = top / "survey.toml";
  one.plan = top / "plan";
  one.out = top / "run";
  one.sender = test::Sender::bare;
  std::ofstream(one.survey, std::ios::binary) << quick;
  ASSERT_EQ(
      run({"plan", one.survey.string(), "--count", "1", "--out", one.plan.string()}).exit_code, 0);
  test::DrivenRig rig = test::driven_rig(test::known_field("gauss"), 3);
  rig.rate_hz = 100.0;
  rig.integral_time_s = 0.01;
  rig.sensor_time_constant_s = 0.02;
  const ProcessResult followed = test::follow_on_line(one, rig);
  ASSERT_EQ(followed.exit_code, 0) << followed.err << followed.out;
  const std::string csv = test::file_content(top / "run" / "sweep.csv");
  EXPECT_NE(csv.find("the log has no times"), std::string::npos) << csv;
  const auto readings = test::sweep_rows(csv);
  const double height_m = test::first_place(one.plan / "steps.csv").height_m;
  for (const auto& [angle_deg, speed_m_s] : readings) {
    const double turn = angle_deg * degree_rad;
    const double truth =
        rig.field->speed_m_s(1.8 * std::cos(turn), -1.8 * std::sin(turn), height_m);
    EXPECT_NEAR(speed_m_s, truth, 0.1 * truth + 0.25) << angle_deg;
  }
  EXPECT_EQ(readings.size(), test::sweep_rows(test::file_content(one.plan / "steps.csv")).size());
}

TEST(RigLoop, ALostLineIsWaitedForAndCostsNoMoreThanItsRows) {
  const fs::path top = test::scratch_folder();
  const fs::path port = top / "port";
  auto first = std::make_unique<test::PseudoTerminal>();
  fs::create_symlink(first->path(), port);
  ProcessResult result;
  std::thread following([&] {
    result = run({"follow", port.string(), "--serial", "9600", "--columns",
                  "time [s],angle [deg],speed [m/s]", "--until-idle", "2 s", "--settle", "0 s",
                  "--out", (top / "out").string()});
  });
  const auto rows = [](int from, int to) {
    std::string text;
    for (int i = from; i < to; ++i) {
      text += std::to_string(i) + ".0;" + std::to_string(i / 20 - 2) + ".0;" +
              std::to_string(1 + i % 2) + ".5 m/s\r\n";
    }
    return text;
  };
  EXPECT_TRUE(first->write(";3.5 m/s\r\n" + rows(0, 50) + "50.0;0.0;1") && first->wait_until_read());
  fs::remove(port);
  first.reset();
  test::PseudoTerminal second;
  fs::create_symlink(second.path(), port);
  EXPECT_TRUE(second.write("0;2.5 m/s\r\n" + rows(52, 100)));
  following.join();
  ASSERT_EQ(result.exit_code, 0) << result.err << result.out;
  const std::string csv = test::file_content(top / "out" / "sweep.csv");
  EXPECT_EQ(test::sweep_rows(csv).size(), 5U) << csv;
  EXPECT_NE(result.out.find("the line was lost"), std::string::npos) << result.out;
}

TEST(RigLoop, AScaleOnALineGivesAThrustThatASessionNames) {
  const fs::path top = test::scratch_folder();
  const double force_n = 0.9;
  const std::vector<std::string> lines = test::scale_lines({force_n, force_n}, 20.0, 0.02, 5);
  test::PseudoTerminal line;
  std::thread sending([&] {
    for (const std::string& row : lines) {
      line.write(row, 20.0);
    }
  });
  const ProcessResult followed =
      run({"follow", line.path().string(), "--serial", "9600", "--scale", "--columns",
           "time [s],force [g]", "--sequence", "off,3,off,3,off", "--resolution", "0.1 g",
           "--until-idle", "1 s", "--out", (top / "scale").string()});
  sending.join();
  ASSERT_EQ(followed.exit_code, 0) << followed.err;
  std::ofstream(top / "session.toml") << "[session]\ntitle = \"loft\"\n[balance]\n"
                                         "fan_arm = \"0.4 m\"\nscale_arm = \"0.2 m\"\n"
                                         "resolution = \"0.1 g\"\n[[reading]]\nfan = \"wren\"\n"
                                         "file = \"scale/thrust.csv\"\n";
  const ProcessResult thrust = run({"thrust", (top / "session.toml").string(), "--json"});
  ASSERT_EQ(thrust.exit_code, 0) << thrust.err;
  const auto settings = nlohmann::json::parse(thrust.out).at("settings");
  ASSERT_EQ(settings.size(), 1U) << thrust.out;
  EXPECT_EQ(settings[0].at("setting"), "3");
  const auto interval = settings[0].at("thrust_n").at("interval_95");
  EXPECT_LT(interval[0].get<double>(), 0.5 * force_n) << "two to one by the arms";
  EXPECT_GT(interval[1].get<double>(), 0.5 * force_n);
  EXPECT_NEAR(settings[0].at("thrust_n").at("value").get<double>(), 0.45, 0.01);
}

}  // namespace
}  // namespace sweepflux
