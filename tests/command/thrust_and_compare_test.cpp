#include "tests/command/run.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <cmath>
#include <fstream>
#include <set>
#include <sstream>
#include <string>
#include <vector>

namespace sweepflux {
namespace {

using test::run;

namespace fs = std::filesystem;

fs::path demo_session() { return test::source_folder() / "scans" / "balance-day" / "session.toml"; }

/// A survey with a balance reading and no sweep.
void write_balance_survey(const fs::path& folder,
                          const std::string& fan,
                          const std::string& setting,
                          const std::string& grams) {
  fs::create_directories(folder);
  std::ofstream(folder / "survey.toml")
      << "[survey]\ntitle = \"x\"\nfan = \"" << fan << "\"\nsetting = \"" << setting
      << "\"\n[air]\ntemperature = \"21.5 degC\"\npressure = \"1006.2 hPa\"\nhumidity = \"48 %\"\n"
         "[outlet]\nshape = \"round\"\ndiameter = \"0.40 m\"\ncentre_height = \"0.92 m\"\n"
         "power = \"41 W\"\n[rig]\nmotion = \"swivel\"\n[probe]\nkind = \"vane\"\n"
         "starting_speed = \"0.3 m/s\"\nscale_uncertainty = \"2 %\"\n"
         "[balance]\nlever_ratio = 1.0\nlever_ratio_uncertainty = \"0.5 %\"\nresolution = \"1 g\"\n"
         "zero_before = \"0 g\"\nzero_after = \"0 g\"\nreadings = [\""
      << grams << "\", \"" << grams << "\"]\n";
}

/// The demo's session with one unit put in another's place.
fs::path mistaken_session(const fs::path& folder, const std::string& unit, const std::string& other) {
  std::string text = test::file_content(demo_session());
  for (std::size_t at = 0; (at = text.find(" " + unit + "\"", at)) != std::string::npos;) {
    text.replace(at + 1, unit.size(), other);
    at += other.size();
  }
  fs::create_directories(folder);
  std::ofstream(folder / "session.toml") << text;
  return folder / "session.toml";
}

TEST(thrust_command, refuses_a_thrust_that_the_fan_has_no_power_for) {
  const fs::path folder = test::scratch_folder() / "grams-as-newtons";
  const auto ran = run({"thrust", mistaken_session(folder, "g", "N").string()});
  EXPECT_EQ(ran.exit_code, 2);
  EXPECT_NE(ran.err.find("the balance reads in g, not in N"), std::string::npos) << ran.err;
  EXPECT_FALSE(fs::exists(folder / "session-results"));
}

TEST(thrust_command, warns_of_a_power_out_of_proportion) {
  const fs::path folder = test::scratch_folder() / "watts-as-kilowatts";
  const auto ran = run({"thrust", mistaken_session(folder, "W", "kW").string(), "--no-pictures"});
  EXPECT_EQ(ran.exit_code, 0) << ran.err;
  EXPECT_NE(ran.out.find("the setting's power is in W, not in kW"), std::string::npos) << ran.out;
}

TEST(thrust_command, the_demo_session_gives_newtons_grams_force_and_watts) {
  const fs::path out = test::scratch_folder() / "out";
  const auto ran = run({"thrust", demo_session().string(), "--out", out.string()});
  ASSERT_EQ(ran.exit_code, 0) << ran.err;
  EXPECT_NE(ran.out.find("heron"), std::string::npos);
  EXPECT_NE(ran.out.find("[gf]"), std::string::npos);
  EXPECT_NE(ran.out.find("heron at 1 has a thrust between those of teal at 1 and at 2"), std::string::npos)
      << ran.out;
  for (const char* name : {"thrust.json",
                           "thrust.csv",
                           "comparison.csv",
                           "thrust.svg",
                           "thrust.png",
                           "report.html",
                           "throw.svg"}) {
    EXPECT_TRUE(fs::exists(out / name)) << name;
  }
  const auto json = nlohmann::json::parse(test::file_content(out / "thrust.json"));
  // The demo's readings were made from 97.4 gf for heron at 3, rounded to the gram and scattered.
  for (const auto& setting : json.at("settings")) {
    if (setting.at("fan") == "heron" && setting.at("setting") == "3") {
      EXPECT_NEAR(setting.at("thrust_gf").at("value").get<double>(), 97.4, 1.0);
      EXPECT_EQ(setting.at("repeats"), 2);
    }
  }
}

TEST(thrust_command, json_goes_to_standard_output_alone) {
  const auto ran = run({"thrust", demo_session().string(), "--json"});
  ASSERT_EQ(ran.exit_code, 0) << ran.err;
  EXPECT_EQ(nlohmann::json::parse(ran.out).at("settings").size(), 8u);
  EXPECT_EQ(ran.err, "");
}

TEST(thrust_command, faults_of_a_session_end_with_two_and_leave_nothing) {
  const fs::path folder = test::scratch_folder();
  std::ofstream(folder / "session.toml")
      << "[session]\ntitle = 3\n[balance]\nresolution = \"1 m\"\n";
  const auto ran =
      run({"thrust", (folder / "session.toml").string(), "--out", (folder / "out").string()});
  EXPECT_EQ(ran.exit_code, 2);
  EXPECT_NE(ran.err.find("session.toml:2:"), std::string::npos) << ran.err;
  EXPECT_NE(ran.err.find("session.toml:4:"), std::string::npos) << ran.err;
  EXPECT_FALSE(fs::exists(folder / "out"));
}

TEST(compare_command, surveys_with_only_a_balance_are_compared) {
  const fs::path campaign = test::scratch_folder() / "campaign";
  write_balance_survey(campaign / "heron-3", "heron", "3", "97 g");
  write_balance_survey(campaign / "teal-3", "teal", "3", "60 g");
  write_balance_survey(campaign / "teal-6", "teal", "6", "140 g");
  fs::create_directories(campaign / "photos");
  const fs::path out = test::scratch_folder() / "out";
  const auto ran = run({"compare", campaign.string(), "--throw", "0.5 m/s", "--out", out.string()});
  ASSERT_EQ(ran.exit_code, 0) << ran.err;
  EXPECT_NE(ran.out.find("Highest thrust: teal at 6"), std::string::npos) << ran.out;
  EXPECT_NE(ran.out.find("heron at 3 has a thrust between those of teal at 3 and at 6"), std::string::npos) << ran.out;
  EXPECT_NE(ran.out.find("photos: passed over"), std::string::npos) << ran.out;
  const auto json = nlohmann::json::parse(test::file_content(out / "comparison.json"));
  EXPECT_EQ(json.at("entries").size(), 3u);
  EXPECT_TRUE(fs::exists(out / "report.html"));
}

TEST(compare_command, a_column_has_one_number_of_decimals_and_like_sentences_are_said_once) {
  const fs::path campaign = test::scratch_folder() / "campaign";
  write_balance_survey(campaign / "heron-3", "heron", "3", "97 g");
  write_balance_survey(campaign / "teal-3", "teal", "3", "8 g");
  write_balance_survey(campaign / "teal-6", "teal", "6", "400 g");
  const auto ran = run({"compare", campaign.string(), "--seat", "2.5 m, 0 m, 0.92 m",
                        "--seat-speed", "0.06 m/s", "--no-pictures",
                        "--out", (test::scratch_folder() / "out").string()});
  ASSERT_EQ(ran.exit_code, 0) << ran.err;
  std::istringstream lines(ran.out);
  std::set<std::size_t> points, decimals;
  for (std::string line; std::getline(lines, line);) {
    const std::size_t sign = line.find(" +- ");
    if (line.starts_with("  heron  ") || line.starts_with("  teal   ")) {
      ASSERT_NE(sign, std::string::npos) << line;
      points.insert(line.rfind('.', sign));
      decimals.insert(sign - line.rfind('.', sign));
    }
  }
  EXPECT_EQ(points.size(), 1u) << "decimal points do not stand below each other\n" << ran.out;
  EXPECT_EQ(decimals.size(), 1u) << ran.out;
  EXPECT_NE(ran.out.find("At the seat no setting of any fan stays below 0.06 m/s at 95 %."),
            std::string::npos)
      << ran.out;
  EXPECT_EQ(ran.out.find("e+"), std::string::npos) << ran.out;
}

TEST(compare_command, a_session_beside_surveys_hides_none_of_them) {
  const fs::path campaign = test::scratch_folder() / "campaign";
  write_balance_survey(campaign / "heron-9", "heron", "9", "97 g");
  write_balance_survey(campaign / "teal-9", "teal", "9", "60 g");
  write_balance_survey(campaign, "wren", "9", "30 g");
  fs::copy_file(demo_session(), campaign / "session.toml");
  fs::copy_file(campaign / "teal-9/survey.toml", campaign / "teal-old.toml");
  const auto ran = run({"compare", campaign.string(), "--json"});
  ASSERT_EQ(ran.exit_code, 0) << ran.err;
  const auto json = nlohmann::json::parse(ran.out);
  EXPECT_EQ(json.at("entries").size(), 8u + 3u);
  EXPECT_NE(json.at("warnings").dump().find("teal-old.toml: passed over"), std::string::npos)
      << json.at("warnings");
}

TEST(compare_command, sources_are_derived_from_the_folder_that_it_runs_in) {
  const fs::path campaign = test::scratch_folder() / "campaign";
  write_balance_survey(campaign / "heron-9", "heron", "9", "97 g");
  write_balance_survey(campaign / "teal-9", "teal", "9", "60 g");
  test::ProcessOptions options;
  options.folder = campaign.parent_path();
  const auto ran =
      test::run_process(SWEEPFLUX_PROGRAM, {"compare", campaign.string(), "--out", "out"}, options);
  ASSERT_EQ(ran.exit_code, 0) << ran.err;
  const std::string csv = test::file_content(campaign.parent_path() / "out/comparison.csv");
  EXPECT_NE(csv.find(",campaign/heron-9/survey.toml\n"), std::string::npos) << csv;
  EXPECT_EQ(csv.find(campaign.string()), std::string::npos) << csv;
}

TEST(compare_command, faults_of_all_surveys_are_reported_at_once) {
  const fs::path campaign = test::scratch_folder() / "campaign";
  write_balance_survey(campaign / "a", "heron", "3", "97 kgg");
  write_balance_survey(campaign / "b", "teal", "3", "60 gramm");
  const auto ran = run({"compare", campaign.string()});
  EXPECT_EQ(ran.exit_code, 2);
  EXPECT_NE(ran.err.find("a/survey.toml:"), std::string::npos) << ran.err;
  EXPECT_NE(ran.err.find("b/survey.toml:"), std::string::npos) << ran.err;
}

TEST(compare_command, what_is_no_survey_and_no_length_is_refused_with_words) {
  const fs::path empty = test::scratch_folder();
  auto ran = run({"compare", empty.string()});
  EXPECT_EQ(ran.exit_code, 2);
  EXPECT_NE(ran.err.find("survey.toml"), std::string::npos) << ran.err;
  ran = run({"compare", (empty / "not-there").string()});
  EXPECT_EQ(ran.exit_code, 2);
  EXPECT_NE(ran.err.find("there is no such"), std::string::npos) << ran.err;
  ran = run(
      {"compare", demo_session().string(), "--distance", "2 kg", "--distance", "-1 m", "--json"});
  EXPECT_EQ(ran.exit_code, 2);
  EXPECT_NE(ran.err.find("2 kg"), std::string::npos) << ran.err;
  EXPECT_NE(ran.err.find("-1 m"), std::string::npos) << ran.err;
}

TEST(compare_command, a_lone_sweep_counts_by_its_profile_and_says_why) {
  const fs::path campaign = test::scratch_folder() / "campaign";
  write_balance_survey(campaign / "teal-3", "teal", "3", "60 g");
  write_balance_survey(campaign / "heron-3", "heron", "3", "97 g");
  std::ofstream(campaign / "heron-3" / "survey.toml", std::ios::app)
      << "[[sweep]]\nfile = \"one.csv\"\ndistance = \"1.5 m\"\nheight = \"0.92 m\"\n";
  std::ofstream sweep(campaign / "heron-3" / "one.csv");
  sweep << "angle [deg],speed [m/s]\n";
  for (int angle = -20; angle <= 20; angle += 2) {
    sweep << angle << "," << 0.2 + 2.8 * std::exp2(-angle * angle / 36.0) << "\n";
  }
  sweep.close();
  const fs::path out = test::scratch_folder() / "out";
  const auto ran =
      run({"compare", campaign.string(), "--distance", "1.5 m", "--out", out.string()});
  ASSERT_EQ(ran.exit_code, 0) << ran.err;
  const auto json = nlohmann::json::parse(test::file_content(out / "comparison.json"));
  const auto& heron =
      json.at("entries")[0].at("fan") == "heron" ? json.at("entries")[0] : json.at("entries")[1];
  // One height gives no map worth totals; it must not pass unseen, whichever way it is taken.
  const bool lone = heron.at("lone_sweeps").size() == 1;
  const bool warned = ran.out.find("heron at 3, 1.5 m") != std::string::npos;
  EXPECT_TRUE(lone || warned) << ran.out;
  EXPECT_TRUE(fs::exists(out / "profiles-1.5m.svg"));
}

}  // namespace
}  // namespace sweepflux
