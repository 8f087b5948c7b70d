#include "sweepflux/capture/survey/read_survey.hpp"

#include "sweepflux/base/unit_text.hpp"
#include "tests/capture/written_survey.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

namespace sweepflux {
namespace {

using test::survey_of;
using test::usual_sections;
using test::usual_sweep;
using test::WrittenSurvey;

const std::string usual_csv = "angle [deg],speed [m/s]\n-10,1.5\n0,2.5\n10,1.4\n";

bool tells(const std::vector<std::string>& lines, const std::string& words) {
  return std::any_of(lines.begin(), lines.end(), [&words](const std::string& line) {
    return line.find(words) != std::string::npos;
  });
}

std::string all(const std::vector<std::string>& lines) {
  std::string text;
  for (const std::string& line : lines) {
    text += line + "\n";
  }
  return text;
}

TEST(ReadSurvey, turns_every_section_into_si) {
  WrittenSurvey written(R"([survey]
title = "Herb loft, teal"
fan = "teal"
setting = "low"
[air]
temperature = "70.7 degF"
temperature_uncertainty = "0.9 degF"
pressure = "29.92 inHg"
humidity = "48 %"
humidity_uncertainty = "3 %"
ambient_speed = "8 ft/min"
ambient_speed_uncertainty = "4 ft/min"
[room]
width = "5.2 m"
floor = "10 cm"
[outlet]
shape = "slot"
width = "60 mm"
height = "80 cm"
centre_height = "3 ft"
ahead_of_axis = "4 in"
power = "41 W"
[rig]
motion = "swivel"
clockwise = true
angle_zero = "1.5 deg"
angle_uncertainty = "5e-3 rad"
dwell_time = "0.5 min"
[probe]
kind = "hot-wire"
head_diameter = "5 mm"
starting_speed = "10 cm/s"
scale_uncertainty = "0.02 relative"
offset_uncertainty = "0.05 m/s"
resolution = "1 cm/s"
time_constant = "200 ms"
calibration = [["0.5 m/s", "0.52 m/s"], ["2.0 m/s", "1.98 m/s"]]
[balance]
gravity = "9.81 m/s2"
lever_ratio = 2
lever_ratio_uncertainty = "0.5 %"
resolution = "1 g"
zero_before = "0.3 g"
readings = ["62.1 g", "2.2 oz", "0.6 N", "62 gf"]
[plan]
distances = ["1.5 m", "250 cm"]
expected_thrust = "90 g"
height_limits = ["0.3 m", "1.6 m"]
time_budget = "3 h"
target = "5 %"
[[sweep]]
file = "near.csv"
distance = "1.5 m"
height = "920 mm"
)");
  written.write("near.csv", usual_csv);
  const Survey survey = written.read();
  EXPECT_EQ(survey.title, "Herb loft, teal");
  EXPECT_NEAR(survey.air.temperature_k.value, 294.65, 1e-9);
  EXPECT_NEAR(survey.air.temperature_k.standard_uncertainty, 0.5, 1e-12);
  EXPECT_NEAR(survey.air.pressure_pa.value, 29.92 * 3386.389, 0.02);
  EXPECT_DOUBLE_EQ(survey.air.humidity.value, 0.48);
  EXPECT_DOUBLE_EQ(survey.air.humidity.standard_uncertainty, 0.03);
  EXPECT_DOUBLE_EQ(survey.air.ambient_speed_m_s->value, 8 * 0.00508);
  EXPECT_DOUBLE_EQ(survey.air.ambient_speed_m_s->standard_uncertainty, 4 * 0.00508);
  EXPECT_EQ(survey.room.width_m, 5.2);
  EXPECT_FALSE(survey.room.height_m);
  EXPECT_DOUBLE_EQ(*survey.room.floor_m, 0.1);
  EXPECT_EQ(survey.outlet.shape, OutletShape::slot);
  EXPECT_NEAR(survey.outlet.area_m2(), 0.048, 1e-12);
  EXPECT_DOUBLE_EQ(survey.outlet.centre_height_m, 0.9144);
  EXPECT_DOUBLE_EQ(survey.outlet.ahead_of_axis_m, 0.1016);
  EXPECT_DOUBLE_EQ(survey.outlet.power_w->value, 41.0);
  EXPECT_TRUE(survey.rig.clockwise);
  EXPECT_DOUBLE_EQ(survey.rig.angle_zero_rad, 1.5 * degree_rad);
  EXPECT_DOUBLE_EQ(survey.rig.angle_uncertainty_rad, 0.005);
  EXPECT_DOUBLE_EQ(survey.rig.dwell_time_s, 30.0);
  EXPECT_EQ(survey.probe.kind, ProbeKind::hot_wire);
  EXPECT_EQ(survey.probe.response, Response::flat);
  EXPECT_DOUBLE_EQ(survey.probe.scale_uncertainty, 0.02);
  EXPECT_DOUBLE_EQ(*survey.probe.time_constant_s, 0.2);
  EXPECT_FALSE(survey.probe.distance_constant_m);
  ASSERT_EQ(survey.probe.calibration.size(), 2U);
  EXPECT_EQ(survey.probe.calibration[1], std::pair(2.0, 1.98));
  ASSERT_TRUE(survey.balance);
  EXPECT_DOUBLE_EQ(survey.balance->lever_ratio, 2.0);
  ASSERT_EQ(survey.balance->readings_n.size(), 4U);
  // Masses by the balance's own gravity, forces as they are.
  EXPECT_DOUBLE_EQ(survey.balance->readings_n[0], 0.0621 * 9.81);
  EXPECT_DOUBLE_EQ(survey.balance->readings_n[1], 2.2 * 0.028349523125 * 9.81);
  EXPECT_DOUBLE_EQ(survey.balance->readings_n[2], 0.6);
  EXPECT_DOUBLE_EQ(survey.balance->readings_n[3], 0.062 * 9.80665);
  EXPECT_TRUE(survey.balance->zero_given);
  EXPECT_DOUBLE_EQ(survey.balance->zero_after_n, survey.balance->zero_before_n);
  EXPECT_TRUE(tells(survey.defaults_used, "balance.zero_after = zero_before"));
  EXPECT_EQ(survey.plan.distances_m, (std::vector<double>{1.5, 2.5}));
  EXPECT_DOUBLE_EQ(*survey.plan.expected_thrust_n, 0.09 * 9.80665);
  EXPECT_DOUBLE_EQ(*survey.plan.time_budget_s, 10800.0);
  EXPECT_DOUBLE_EQ(*survey.plan.target, 0.05);
  EXPECT_DOUBLE_EQ(survey.sweeps.at(0).height_m, 0.92);
  EXPECT_EQ(survey.sweeps[0].name, "near.csv");
}

TEST(ReadSurvey, tells_every_default_that_it_uses) {
  const Survey survey = survey_of(usual_csv).read();
  for (const std::string line : {"probe.response = cosine (from the kind)",
                                 "probe.scale_uncertainty = 3 %",
                                 "air.temperature_uncertainty = 0.5 K",
                                 "air.ambient_speed = 0 m/s (a drift counts in the intervals)",
                                 "rig.clockwise = false",
                                 "outlet.ahead_of_axis = 0 m",
                                 "rig.angle_zero = 0 deg"}) {
    EXPECT_TRUE(tells(survey.defaults_used, line)) << line << " in\n" << all(survey.defaults_used);
  }
  EXPECT_FALSE(tells(survey.defaults_used, "starting_speed"));
  EXPECT_FALSE(tells(survey.defaults_used, "dwell_time"));
}

TEST(ReadSurvey, reads_what_reduce_writes) {
  const Survey survey =
      survey_of(
          "angle [deg],speed [m/s],spread [m/s],standard_error [m/s],samples,dwell [s],time [s]\n"
          "-10,1.5,0.2,0.04,200,10,0\n0,2.5,---,,200,10,15\n")
          .read();
  const std::vector<Reading>& readings = survey.sweeps.at(0).readings;
  ASSERT_EQ(readings.size(), 2U);
  EXPECT_EQ(readings[0].spread_m_s, 0.2);
  EXPECT_EQ(readings[0].standard_error_m_s, 0.04);
  EXPECT_EQ(readings[0].samples, 200.0);
  EXPECT_EQ(readings[0].dwell_s, 10.0);
  EXPECT_EQ(readings[1].time_s, 15.0);
  EXPECT_FALSE(readings[1].spread_m_s);
  EXPECT_FALSE(readings[1].standard_error_m_s);
  EXPECT_TRUE(survey.sweeps[0].left_out.empty());
}

TEST(ReadSurvey, splits_a_tidy_table_by_distance_height_and_sweep) {
  WrittenSurvey written(usual_sections + "[[sweep]]\nfile = \"all.csv\"\n");
  // By angle, not by sweep: the order of rows must not matter.
  std::string csv = "sweep,distance [cm],height [m],angle [deg],speed [m/s]\n";
  for (const std::string angle : {"-10", "0", "10"}) {
    csv +=
        "a,150,0.7," + angle + ",1.1\nb,150,0.9," + angle + ",2.2\nc,250,0.9," + angle + ",0.8\n";
  }
  csv += "c,250,0.9,20,OL\nc,250,---,30,0.1\n";
  written.write("all.csv", csv);
  const Survey survey = written.read();
  ASSERT_EQ(survey.sweeps.size(), 3U);
  EXPECT_EQ(survey.sweeps[2].name.substr(0, 9), "all.csv c");
  EXPECT_DOUBLE_EQ(survey.sweeps[2].distance_m, 2.5);
  EXPECT_DOUBLE_EQ(survey.sweeps[1].height_m, 0.9);
  EXPECT_EQ(survey.sweeps[1].readings.size(), 3U);
  ASSERT_EQ(survey.sweeps[2].left_out.size(), 2U);
  EXPECT_TRUE(survey.sweeps[2].left_out[0].over_range);
  EXPECT_EQ(survey.sweeps[2].left_out[1].reason, "height: missing value `---`");
}

TEST(ReadSurvey, takes_one_sweep_of_a_shared_file_by_its_label) {
  WrittenSurvey written(usual_sections +
                        "[[sweep]]\nfile = \"all.csv\"\nsweep = \"a\"\ndistance = \"1.5 m\"\n"
                        "height = \"0.7 m\"\n"
                        "[[sweep]]\nfile = \"all.csv\"\nsweep = \"b\"\ndistance = \"1.5 m\"\n"
                        "height = \"0.9 m\"\n");
  written.write("all.csv", "sweep,angle [deg],speed [m/s]\na,0,1\na,5,2\nb,0,3\nb,5,4\nc,0,5\n");
  const Survey survey = written.read();
  ASSERT_EQ(survey.sweeps.size(), 2U);
  EXPECT_EQ(survey.sweeps[1].readings.at(1).speed_m_s, 4.0);
  EXPECT_DOUBLE_EQ(survey.sweeps[1].height_m, 0.9);
  EXPECT_NE(survey.sweeps[0].name, survey.sweeps[1].name);
  ASSERT_EQ(survey.remarks.size(), 1U);
  EXPECT_NE(survey.remarks[0].text.find("no [[sweep]] asks for the rows of sweep `c`"),
            std::string::npos);
}

TEST(ReadSurvey, reads_two_probes_of_one_file_as_two_sweeps) {
  WrittenSurvey written(usual_sections + usual_sweep +
                        "[sweep.columns]\nspeed = \"low\"\n[[sweep]]\nfile = \"near.csv\"\n"
                        "distance = \"1.5 m\"\nheight = \"1.1 m\"\n[sweep.columns]\n"
                        "speed = \"high\"\n");
  written.write("near.csv", "angle [deg],low [m/s],high [ft/min]\n-10,1,100\n0,2,200\n");
  const Survey survey = written.read();
  ASSERT_EQ(survey.sweeps.size(), 2U);
  EXPECT_DOUBLE_EQ(survey.sweeps[0].readings.at(1).speed_m_s, 2.0);
  EXPECT_DOUBLE_EQ(survey.sweeps[1].readings.at(1).speed_m_s, 200 * 0.00508);
}

TEST(ReadSurvey, refuses_the_same_readings_under_two_blocks) {
  const std::vector<std::string> refusals =
      survey_of(usual_csv,
                "[[sweep]]\nfile = \"./near.csv\"\ndistance = \"1.5 m\"\nheight = \"1.1 m\"\n")
          .refusals();
  ASSERT_EQ(refusals.size(), 1U);
  EXPECT_NE(refusals[0].find("survey.toml:24:8: `./near.csv` was named before (line 20)"),
            std::string::npos)
      << refusals[0];
}

TEST(ReadSurvey, lets_a_file_name_its_columns_otherwise_than_the_rest) {
  WrittenSurvey written(usual_sections + usual_sweep +
                        "[sweep.columns]\nangle = \"Pos\"\n[sweep.columns.units]\nangle = \"rad\"\n"
                        "[columns]\nspeed = \"V [ft/min]\"\n");
  written.write("near.csv", "Pos,V [ft/min],V [m/s]\n-0.1,100,9\n0.1,200,9\n");
  const Survey survey = written.read();
  EXPECT_EQ(survey.sweeps.at(0).readings.at(0).position, -0.1);
  EXPECT_DOUBLE_EQ(survey.sweeps[0].readings[1].speed_m_s, 200 * 0.00508);
}

TEST(ReadSurvey, turns_steps_into_angles) {
  std::string toml = usual_sections + usual_sweep;
  toml.insert(toml.find("[probe]"), "steps_per_revolution = 3200\ngear_ratio = 4.5\n");
  WrittenSurvey written(toml);
  written.write("near.csv", "angle [steps],speed [m/s]\n-400,1\n0,2\n400,1\n");
  EXPECT_NEAR(written.read().sweeps.at(0).readings.at(2).position, 10.0 * degree_rad, 1e-12);
  // The unit can come from the survey as well.
  WrittenSurvey by_columns(toml +
                           "[columns]\nangle = \"Pos\"\n[columns.units]\nangle = \"steps\"\n");
  by_columns.write("near.csv", "Pos,speed [m/s]\n-400,1\n0,2\n400,1\n");
  EXPECT_NEAR(by_columns.read().sweeps.at(0).readings.at(0).position, -10.0 * degree_rad, 1e-12);
  const std::vector<std::string> refusals =
      survey_of("angle [steps],speed [m/s]\n-400,1\n").refusals();
  ASSERT_EQ(refusals.size(), 1U);
  EXPECT_NE(refusals[0].find("near.csv:1:1: column `angle [steps]` is in steps"),
            std::string::npos);
}

TEST(ReadSurvey, reads_a_traverse_in_metres_and_leaves_it_as_recorded) {
  std::string toml = usual_sections + usual_sweep;
  toml.replace(toml.find("\"swivel\""), 8, "\"traverse\"");
  WrittenSurvey written(toml + "[columns]\nacross = \"y\"\n");
  written.write("near.csv", "y_mm,speed_mps\n-2000,1\n0,2\n2000,1\n");
  EXPECT_DOUBLE_EQ(written.read().sweeps.at(0).readings.at(0).position, -2.0);
}

TEST(ReadSurvey, hands_on_repeats_and_conflicts_of_a_position_as_they_are) {
  std::string toml = usual_sections + "[[sweep]]\nfile = \"plane.csv\"\ndistance = \"1.5 m\"\n" +
                     "[columns]\nacross = \"y_m\"\nheight = \"z_m\"\n";
  toml.replace(toml.find("\"swivel\""), 8, "\"traverse\"");
  WrittenSurvey written(toml);
  written.write("plane.csv",
                "y_m,z_m,speed_mps\n-0.2,0.1,1.0\n0,0.1,3.0\n0.2,0.1,1.2\n-0.2,0.3,0.8\n"
                "0,0.3,2.6\n0.2,0.3,1.0\n0,0.1,3.0\n0,0.1,3.0\n0,0.3,2.8\n0.2,0.3,1.0\n");
  const Survey survey = written.read();
  ASSERT_EQ(survey.sweeps.size(), 2U);
  EXPECT_EQ(survey.sweeps[0].readings.size(), 5U);
  EXPECT_EQ(survey.sweeps[1].readings.size(), 5U);
  EXPECT_DOUBLE_EQ(survey.sweeps[1].height_m, 0.3);
  EXPECT_EQ(survey.sweeps[1].readings[3].speed_m_s, 2.8);
}

TEST(ReadSurvey, plans_without_sweeps_and_without_air) {
  WrittenSurvey written(
      "[outlet]\ndiameter = \"0.4 m\"\ncentre_height = \"0.9 m\"\n[probe]\nkind = \"vane\"\n");
  ReadOptions options;
  options.sweeps_required = false;
  const Survey survey = written.read(options);
  EXPECT_TRUE(survey.sweeps.empty());
  EXPECT_GT(survey.air.pressure_pa.standard_uncertainty, 1000.0);
  EXPECT_TRUE(tells(survey.defaults_used, "air.pressure = 1013.25 hPa +- 30 hPa"));
  EXPECT_TRUE(tells(survey.defaults_used, "rig.dwell_time = 10 s"));
  EXPECT_EQ(written.refusals().size(), 2U);  // air and sweeps
}

TEST(ReadSurvey, gives_up_after_the_stated_number_of_faults) {
  std::string toml = usual_sections;
  for (int i = 0; i < 30; ++i) {
    toml += "wrong_" + std::to_string(i) + " = 1\n";
  }
  ReadOptions options;
  options.most_findings = 10;
  const std::vector<std::string> refusals = WrittenSurvey(toml).refusals(options);
  ASSERT_EQ(refusals.size(), 11U);
  EXPECT_NE(refusals.back().find("stopped after 10 faults"), std::string::npos);
  options.most_findings = 0;
  EXPECT_THROW((void)survey_of(usual_csv).read(options), InputError);
}

TEST(ReadSurvey, calls_a_session_a_session_in_one_line) {
  const std::vector<std::string> refusals =
      WrittenSurvey("[session]\ntitle = \"x\"\n[[reading]]\nfan = \"heron\"\n").refusals();
  ASSERT_EQ(refusals.size(), 1U) << all(refusals);
  EXPECT_NE(refusals[0].find("this is a session at the balance, no survey"), std::string::npos);
}

TEST(ReadSurvey, reports_the_faults_of_every_file_in_one_go) {
  WrittenSurvey written(usual_sections + usual_sweep +
                        "[[sweep]]\nfile = \"far.csv\"\ndistance = \"2.5 m\"\n"
                        "[[sweep]]\nfile = \"gone.csv\"\ndistance = \"0 m\"\nheight = \"1 m\"\n");
  written.write("near.csv", "angle [deg],speed [m/s]\n0,fast\n");
  written.write("far.csv", "angle,speed [kg]\n0,1\n");
  const std::vector<std::string> refusals = written.refusals();
  const std::string text = all(refusals);
  ASSERT_EQ(refusals.size(), 6U) << text;
  const std::vector<std::string> expected = {
      "survey.toml:23:1: sweep `far.csv` has no height",
      "survey.toml:27:8: `gone.csv` cannot be opened",
      "survey.toml:28:12: sweep 3.distance is `0 m`, must be > 0",
      "near.csv:2:3: speed is `fast`",
      "far.csv:1:1: column `angle` has no unit",
      "far.csv:1:7: column `speed [kg]` is a force, must be a speed"};
  for (std::size_t i = 0; i < expected.size(); ++i) {
    EXPECT_EQ(refusals[i].substr(0, expected[i].size()), expected[i]);
  }
}

TEST(ReadSurvey, runs_angles_on_whatever_the_order_of_the_rows) {
  const auto positions = [](const std::string& rows, const std::string& zero) {
    std::string toml = usual_sections + usual_sweep;
    toml.insert(toml.find("[probe]"), "angle_zero = \"" + zero + "\"\n");
    WrittenSurvey written(toml);
    written.write("near.csv", "angle [deg],speed [m/s]\n" + rows);
    std::vector<double> degrees;
    const Survey survey = written.read();
    for (const Reading& reading : survey.sweeps.at(0).readings) {
      degrees.push_back(std::round(reading.position / degree_rad * 1e6) / 1e6);
    }
    return degrees;
  };
  using Degrees = std::vector<double>;
  EXPECT_EQ(positions("-175,1\n170,1\n180,1\n", "0 deg"), (Degrees{185, 170, 180}));
  EXPECT_EQ(positions("350,1\n0,1\n10,1\n", "0 deg"), (Degrees{-10, 0, 10}));
  EXPECT_EQ(positions("350,1\n0,1\n10,1\n", "355 deg"), (Degrees{350, 360, 370}));
  EXPECT_EQ(positions("350,1\n355,1\n", "0 deg"), (Degrees{-10, -5}));
  // A wide sweep that passes over nothing stays as it is.
  EXPECT_EQ(positions("-100,1\n-50,1\n0,1\n50,1\n100,1\n", "0 deg"),
            (Degrees{-100, -50, 0, 50, 100}));
}

}  // namespace
}  // namespace sweepflux
