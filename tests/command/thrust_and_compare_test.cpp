#include "tests/support/browser.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <array>
#include <cstdio>
#include <fstream>
#include <iterator>
#include <string>
#include <sys/wait.h>

namespace sweepflux {
namespace {

namespace fs = std::filesystem;

struct Ran {
  int code = -1;
  std::string out;  ///< standard output
  std::string err;
};

std::string content_of(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

Ran run(const std::string& arguments) {
  const fs::path err = test::scratch_folder() / "err.txt";
  Ran ran;
  std::FILE* pipe = ::popen(
      (std::string("'") + SWEEPFLUX_PROGRAM + "' " + arguments + " 2>'" + err.string() + "'")
          .c_str(),
      "r");
  if (!pipe) {
    return ran;
  }
  std::array<char, 65536> buffer{};
  for (std::size_t n = 0; (n = std::fread(buffer.data(), 1, buffer.size(), pipe)) > 0;) {
    ran.out.append(buffer.data(), n);
  }
  const int status = ::pclose(pipe);
  ran.code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  ran.err = content_of(err);
  return ran;
}

std::string quoted(const fs::path& path) { return "'" + path.string() + "'"; }

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

TEST(thrust_command, the_demo_session_gives_newtons_grams_force_and_watts) {
  const fs::path out = test::scratch_folder() / "out";
  const Ran ran = run("thrust " + quoted(demo_session()) + " --out " + quoted(out));
  ASSERT_EQ(ran.code, 0) << ran.err;
  EXPECT_NE(ran.out.find("heron"), std::string::npos);
  EXPECT_NE(ran.out.find("[gf]"), std::string::npos);
  EXPECT_NE(ran.out.find("pushes as"), std::string::npos);
  for (const char* name : {"thrust.json",
                           "thrust.csv",
                           "comparison.csv",
                           "thrust.svg",
                           "thrust.png",
                           "report.html",
                           "reach.svg"}) {
    EXPECT_TRUE(fs::exists(out / name)) << name;
  }
  const auto json = nlohmann::json::parse(content_of(out / "thrust.json"));
  // The demo's readings were made from 97.4 gf for heron at 3, rounded to the gram and scattered.
  for (const auto& setting : json.at("settings")) {
    if (setting.at("fan") == "heron" && setting.at("setting") == "3") {
      EXPECT_NEAR(setting.at("thrust_gf").at("value").get<double>(), 97.4, 1.0);
      EXPECT_EQ(setting.at("repeats"), 2);
    }
  }
}

TEST(thrust_command, json_goes_to_standard_output_alone) {
  const Ran ran = run("thrust " + quoted(demo_session()) + " --json");
  ASSERT_EQ(ran.code, 0) << ran.err;
  EXPECT_EQ(nlohmann::json::parse(ran.out).at("settings").size(), 8u);
  EXPECT_EQ(ran.err, "");
}

TEST(thrust_command, faults_of_a_session_end_with_two_and_leave_nothing) {
  const fs::path folder = test::scratch_folder();
  std::ofstream(folder / "session.toml")
      << "[session]\ntitle = 3\n[balance]\nresolution = \"1 m\"\n";
  const Ran ran =
      run("thrust " + quoted(folder / "session.toml") + " --out " + quoted(folder / "out"));
  EXPECT_EQ(ran.code, 2);
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
  const Ran ran = run("compare " + quoted(campaign) + " --reach '0.5 m/s' --out " + quoted(out));
  ASSERT_EQ(ran.code, 0) << ran.err;
  EXPECT_NE(ran.out.find("Strongest push: teal at 6"), std::string::npos) << ran.out;
  EXPECT_NE(ran.out.find("heron at 3 pushes as teal at 4."), std::string::npos) << ran.out;
  EXPECT_NE(ran.out.find("photos: passed over"), std::string::npos) << ran.out;
  const auto json = nlohmann::json::parse(content_of(out / "comparison.json"));
  EXPECT_EQ(json.at("entries").size(), 3u);
  EXPECT_TRUE(fs::exists(out / "report.html"));
}

TEST(compare_command, faults_of_all_surveys_are_told_in_one_go) {
  const fs::path campaign = test::scratch_folder() / "campaign";
  write_balance_survey(campaign / "a", "heron", "3", "97 kgg");
  write_balance_survey(campaign / "b", "teal", "3", "60 gramm");
  const Ran ran = run("compare " + quoted(campaign));
  EXPECT_EQ(ran.code, 2);
  EXPECT_NE(ran.err.find("a/survey.toml:"), std::string::npos) << ran.err;
  EXPECT_NE(ran.err.find("b/survey.toml:"), std::string::npos) << ran.err;
}

TEST(compare_command, what_is_no_survey_and_no_length_is_refused_with_words) {
  const fs::path empty = test::scratch_folder();
  Ran ran = run("compare " + quoted(empty));
  EXPECT_EQ(ran.code, 2);
  EXPECT_NE(ran.err.find("survey.toml"), std::string::npos) << ran.err;
  ran = run("compare " + quoted(empty / "not-there"));
  EXPECT_EQ(ran.code, 2);
  EXPECT_NE(ran.err.find("there is no such"), std::string::npos) << ran.err;
  ran = run("compare " + quoted(demo_session()) + " --distance '2 kg' --distance '-1 m' --json");
  EXPECT_EQ(ran.code, 2);
  EXPECT_NE(ran.err.find("2 kg"), std::string::npos) << ran.err;
  EXPECT_NE(ran.err.find("-1 m"), std::string::npos) << ran.err;
}

TEST(compare_command, its_page_reads_well_on_a_phone_and_in_the_dark) {
  if (!test::browser_is_here()) {
    GTEST_SKIP() << "skipped: no chromium here";
  }
  const fs::path out = test::scratch_folder() / "out";
  ASSERT_EQ(run("compare " + quoted(demo_session()) + " --out " + quoted(out)).code, 0);
  const std::string html = content_of(out / "report.html");
  for (const auto theme : {test::BrowserTheme::light, test::BrowserTheme::dark}) {
    const auto report = test::open_in_browser(html, 360, theme);
    ASSERT_TRUE(report);
    EXPECT_EQ(report->console, std::vector<std::string>{});
    EXPECT_EQ(report->requests, 0);
    EXPECT_LE(report->page_width_px, 360);
    EXPECT_GE(report->least_contrast, 4.5) << report->least_contrast_text;  // WCAG 2.1, 1.4.3
    EXPECT_EQ(report->pictures_without_words, 0);
    EXPECT_GE(report->pictures, 5);
  }
}

}  // namespace
}  // namespace sweepflux
