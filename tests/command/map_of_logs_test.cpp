#include "tests/support/process.hpp"
#include "tests/support/shared_folder.hpp"
#include "tests/support/simulated_log.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <fstream>
#include <string>

namespace sweepflux {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::json;
using test::ProcessResult;

const std::string sections = R"([survey]
fan = "heron"
setting = "3"
[air]
temperature = "21.5 degC"
pressure = "1006.2 hPa"
[outlet]
diameter = "0.40 m"
centre_height = "0.92 m"
[rig]
motion = "swivel"
[probe]
kind = "thermal"
)";

void write(const fs::path& file, const std::string& text) {
  fs::create_directories(file.parent_path());
  std::ofstream(file, std::ios::binary) << text;
}

std::string block(const std::string& key, const std::string& file, double height_m) {
  return "[[sweep]]\n" + key + " = \"" + file + "\"\ndistance = \"1.5 m\"\nheight = \"" +
         std::to_string(height_m) + " m\"\n";
}

TEST(MapOfLogs, GivesWhatTheMapOfTheReducedSweepsGives) {
  const fs::path top = test::scratch_folder();
  std::string from_logs = sections + "[log]\nsettle = \"1.5 s\"\n";
  std::string from_tables = sections;
  std::vector<std::string> reduce = {"reduce"};
  const double heights[] = {0.72, 0.92, 1.12};
  for (int i = 0; i < 3; ++i) {
    test::SimulatedRig rig;
    rig.peak_m_s = i == 1 ? 3.0 : 1.9;
    rig.sensor_time_constant_s = 0.3;
    rig.there_and_back = i == 0;
    rig.backlash_deg = i == 0 ? 0.6 : 0.0;
    rig.rate_hz = 20.0;
    rig.seed = static_cast<std::uint64_t>(i + 1);
    const std::string name = "run" + std::to_string(i);
    write(top / "logs" / (name + ".csv"), test::log_text(rig.stop_and_go()));
    reduce.push_back((top / "logs" / (name + ".csv")).string());
    from_logs += block("log", "logs/" + name + ".csv", heights[i]);
    from_tables += block("file", "tables/" + name + "-sweep.csv", heights[i]);
  }
  for (const char* word : {"--settle", "1.5 s", "--starting-speed", "0.1 m/s", "--out"}) {
    reduce.emplace_back(word);
  }
  reduce.push_back((top / "tables").string());
  const ProcessResult reduced = test::run_process(SWEEPFLUX_PROGRAM, reduce);
  ASSERT_EQ(reduced.exit_code, 0) << reduced.err;
  write(top / "logs.toml", from_logs);
  write(top / "tables.toml", from_tables);
  const ProcessResult a = test::run_process(SWEEPFLUX_PROGRAM,
                                            {"map",
                                             (top / "logs.toml").string(),
                                             "--json",
                                             "--no-pictures",
                                             "--out",
                                             (top / "map").string()});
  ASSERT_EQ(a.exit_code, 0) << a.err;
  const ProcessResult b =
      test::run_process(SWEEPFLUX_PROGRAM, {"map", (top / "tables.toml").string(), "--json"});
  ASSERT_EQ(b.exit_code, 0) << b.err;
  const Json one = Json::parse(a.out).at("planes").at(0);
  const Json other = Json::parse(b.out).at("planes").at(0);
  EXPECT_EQ(one.at("readings"), other.at("readings"));
  EXPECT_GT(one.at("readings"), 40);
  // The table rounds to 1e-6 m/s, so the draws are others of the same posterior.
  for (const char* quantity : {"volume_flow_m3_s", "momentum_flux_n", "kinetic_power_w"}) {
    const double sd = other.at(quantity).at("standard_uncertainty");
    const double expected = other.at(quantity).at("value");
    EXPECT_NEAR(one.at(quantity).at("value").get<double>(), expected, 0.5 * sd) << quantity;
    EXPECT_NEAR(one.at(quantity).at("standard_uncertainty").get<double>(), sd, 0.3 * sd) << quantity;
  }
  // The readings can be traced: the same tables lie beside the map.
  for (const char* name : {"run0-sweep.csv", "run1-sweep.csv", "run2-sweep.csv"}) {
    EXPECT_EQ(test::file_content(top / "map" / name), test::file_content(top / "tables" / name))
        << name;
  }
  EXPECT_NE(a.out.find("each way was moved by it"), std::string::npos);
}

TEST(MapOfLogs, PlanReadsThemToo) {
  const fs::path top = test::scratch_folder();
  std::string survey = sections;
  for (int i = 0; i < 2; ++i) {
    test::SimulatedRig rig;
    rig.rate_hz = 20.0;
    rig.seed = static_cast<std::uint64_t>(i + 1);
    const std::string name = "run" + std::to_string(i) + ".csv";
    write(top / name, test::log_text(rig.stop_and_go()));
    survey += block("log", name, 0.8 + 0.2 * i);
  }
  write(top / "survey.toml", survey);
  const ProcessResult plan = test::run_process(
      SWEEPFLUX_PROGRAM, {"plan", (top / "survey.toml").string(), "--count", "1", "--json"});
  ASSERT_EQ(plan.exit_code, 0) << plan.err;
  EXPECT_EQ(Json::parse(plan.out).at("sweeps").size(), 1u);
}

}  // namespace
}  // namespace sweepflux
