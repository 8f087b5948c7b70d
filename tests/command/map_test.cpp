#include "tests/command/run.hpp"
#include "tests/support/comma_locale_folder.hpp"
#include "tests/support/dice.hpp"
#include "tests/support/hand_made.hpp"
#include "tests/support/make_survey.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <sstream>

namespace sweepflux {
namespace {

using test::run;

namespace fs = std::filesystem;
using Json = nlohmann::json;
using test::ProcessResult;

/// A small survey: one plane, five sweeps.
fs::path small_survey() { return test::source_folder() / "scans/heron-1/survey.toml"; }

/// Where what is written, or where it goes, is all that counts: the method that takes least time.
std::vector<std::string> quick_map(const std::vector<std::string>& more,
                                   const fs::path& survey = small_survey()) {
  std::vector<std::string> line = {"map", survey.string(), "--method", "linear"};
  line.insert(line.end(), more.begin(), more.end());
  return line;
}

/// The small survey mapped with all that a map has, once; in `out` of this folder.
const fs::path& mapped_small_survey() {
  static const fs::path folder = [] {
    test::ProcessOptions options;
    options.folder = test::scratch_folder();
    const ProcessResult result = run({"map", small_survey().string(), "--out", "out"}, options);
    EXPECT_EQ(result.exit_code, 0) << result.err;
    return options.folder;
  }();
  return folder;
}

std::size_t lines_of(const std::string& text) {
  return static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n'));
}

/// Plain files and hidden ones; what a run leaves behind.
std::size_t entries_in(const fs::path& folder) {
  return static_cast<std::size_t>(
      std::distance(fs::directory_iterator(folder), fs::directory_iterator()));
}

/// Of many sweeps of three planes enough for three planes.
void keep_every_second_sweep(const fs::path& survey) {
  std::istringstream text(test::file_content(survey));
  std::ofstream out(survey);
  int sweeps = 0;
  for (std::string line; std::getline(text, line);) {
    sweeps += line == "[[sweep]]" ? 1 : 0;
    if (sweeps == 0 || sweeps % 2 == 1) {
      out << line << '\n';
    }
  }
}

TEST(Map, GivesTheWindowAndNoTotalWhereNoStreamIsBracketed) {
  const fs::path top = test::scratch_folder();
  Survey survey = test::bare_survey();
  survey.rig.motion = Motion::traverse;
  survey.title = "air that moves everywhere alike";
  test::Dice dice(3);
  for (const double height_m : {0.5, 0.7, 0.9, 1.1, 1.3}) {
    survey.sweeps.push_back(test::even_sweep(
        1.6, height_m, -0.8, 0.8, 33, [&](double) { return 1.5 + dice.normal(0.03); }));
  }
  const fs::path file = test::write_survey(survey, top / "survey");
  const ProcessResult mapped = run({"map", file.string(), "--out", (top / "out").string()});
  ASSERT_EQ(mapped.exit_code, 0) << mapped.err;
  EXPECT_NE(mapped.out.find("withheld"), std::string::npos) << mapped.out;
  std::ifstream in(top / "out/summary.json");
  const Json plane = Json::parse(in).at("planes").at(0);
  EXPECT_TRUE(plane.at("momentum_flux_n").is_null());
  EXPECT_TRUE(plane.at("budget").empty());
  // 1.6 m by 0.8 m at 1.5 m/s.
  EXPECT_NEAR(plane.at("inside_window").at("volume_flow_m3_s").at("value").get<double>(), 1.92, 0.06);
  std::ifstream page(top / "out/report.html");
  const std::string html{std::istreambuf_iterator<char>(page), {}};
  EXPECT_NE(html.find("No numbers of the whole plane"), std::string::npos);
  EXPECT_EQ(html.find(">nan"), std::string::npos);
}

TEST(Map, WritesEveryFileThatItPromises) {
  const fs::path top = test::scratch_folder();
  fs::copy(test::source_folder() / "scans/wren-1", top / "wren", fs::copy_options::recursive);
  const fs::path survey = top / "wren/survey.toml";
  keep_every_second_sweep(survey);
  const ProcessResult result = run({"map", survey.string(), "--out", (top / "out").string()});
  ASSERT_EQ(result.exit_code, 0) << result.err;
  EXPECT_EQ(result.err, "");
  for (const char* name : {"summary.json",
                           "planes.csv",
                           "profiles.svg",
                           "profiles.png",
                           "along-the-stream.svg",
                           "along-the-stream.png",
                           "report.html",
                           "volume.vti"}) {
    ASSERT_TRUE(fs::exists(top / "out" / name)) << name;
    EXPECT_GT(fs::file_size(top / "out" / name), 100u) << name;
  }
  for (const std::string distance : {"0.5", "0.8", "1.2"}) {
    for (const char* ending : {".csv", ".vti", ".png", ".svg", "-uncertainty.png"}) {
      const std::string name = "plane-" + distance + "m" + ending;
      EXPECT_TRUE(fs::exists(top / "out" / name)) << name;
    }
  }
  EXPECT_EQ(entries_in(top), 2u) << "nothing beside survey and results";
  EXPECT_NE(result.out.find("plane at 0.8 m"), std::string::npos);
  EXPECT_NE(result.out.find("balance: thrust"), std::string::npos);
  EXPECT_NE(result.out.find((top / "out").string()), std::string::npos);
}

TEST(Map, PrintsTheSummaryAsJsonAndWritesNoFolderUnasked) {
  const fs::path top = test::scratch_folder();
  fs::copy(small_survey().parent_path(), top / "heron", fs::copy_options::recursive);
  const std::size_t before = entries_in(top / "heron");
  const ProcessResult result = run(quick_map({"--json"}, top / "heron/survey.toml"));
  ASSERT_EQ(result.exit_code, 0) << result.err;
  const Json json = Json::parse(result.out);
  EXPECT_EQ(json.at("survey").at("fan"), "heron");
  ASSERT_EQ(json.at("planes").size(), 1u);
  EXPECT_EQ(json.at("planes")[0].at("sweeps"), 5);
  EXPECT_GT(json.at("planes")[0].at("momentum_flux_n").at("value"), 0.0);
  EXPECT_EQ(json.at("cross_check").size(), 1u);
  EXPECT_EQ(entries_in(top / "heron"), before);

  const ProcessResult both = run(
      quick_map({"--json", "--no-pictures", "--out", (top / "out").string()},
                top / "heron/survey.toml"));
  EXPECT_EQ(both.out, result.out);
  EXPECT_EQ(test::file_content(top / "out/summary.json"), result.out);
}

TEST(Map, FindsTheMomentumFluxThatTheDemoStreamsCarry) {
  // 0.35 N of thrust, of which the mean flow carries 0.97 - 0.01 * 1.49 (scans/demo_streams.cpp).
  std::ifstream summary(mapped_small_survey() / "out/summary.json");
  const Json momentum = Json::parse(summary).at("planes")[0].at("momentum_flux_n");
  const double truth_n = 0.35 * (0.97 - 0.0149);
  EXPECT_LE(momentum.at("interval_95")[0].get<double>(), truth_n);
  EXPECT_GE(momentum.at("interval_95")[1].get<double>(), truth_n);
}

TEST(Map, WritesBesideTheSurveyWhenNotAskedWhere) {
  const fs::path top = test::scratch_folder() / "a b \xC3\xA4\xE2\x82\xAC";
  fs::create_directories(top);
  fs::copy(small_survey().parent_path(), top / "heron 1", fs::copy_options::recursive);
  test::ProcessOptions options;
  options.folder = top / "heron 1";
  const ProcessResult result = run(quick_map({"--no-pictures"}, "survey.toml"), options);
  ASSERT_EQ(result.exit_code, 0) << result.err;
  EXPECT_TRUE(fs::exists(top / "heron 1/survey-results/summary.json"));
}

TEST(Map, ReplacesItsOwnResultsAndNobodyElses) {
  const fs::path top = test::scratch_folder();
  const std::vector<std::string> line =
      quick_map({"--no-pictures", "--out", (top / "out").string()});
  ASSERT_EQ(run(line).exit_code, 0);
  const auto first = test::files_below(top);
  ASSERT_EQ(run(line).exit_code, 0);
  EXPECT_TRUE(test::files_below(top) == first) << "the same survey gives the same bytes";

  fs::create_directories(top / "thesis");
  std::ofstream(top / "thesis/chapter.txt") << "text";
  const ProcessResult refused =
      run(quick_map({"--no-pictures", "--out", (top / "thesis").string()}));
  EXPECT_EQ(refused.exit_code, 2);
  EXPECT_NE(refused.err.find("did not write"), std::string::npos) << refused.err;
  EXPECT_EQ(test::file_content(top / "thesis/chapter.txt"), "text");
}

TEST(Map, RefusesToReplaceTheSurveyItself) {
  const fs::path top = test::scratch_folder();
  fs::copy(small_survey().parent_path(), top / "heron", fs::copy_options::recursive);
  for (const char* out : {"heron", "heron/sweeps", "heron/survey.toml", "."}) {
    const ProcessResult result = run({"map",
                                      (top / "heron/survey.toml").string(),
                                      "--no-pictures",
                                      "--out",
                                      (top / out).string()});
    EXPECT_EQ(result.exit_code, 2) << out;
    EXPECT_EQ(lines_of(result.err), 1u) << result.err;
  }
  EXPECT_TRUE(test::files_below(top / "heron") == test::files_below(small_survey().parent_path()));
}

TEST(Map, DoesNotCareForTheLocale) {
  const auto locales = test::make_comma_locale();
  if (!locales) {
    GTEST_SKIP() << "skipped: no locale with a decimal comma can be made (package locales)";
  }
  test::ProcessOptions comma;
  comma.folder = test::scratch_folder();
  comma.environment = {{"LOCPATH", locales->string()}, {"LC_ALL", "de_DE.UTF-8"}};
  // The page names its own command, so both write to a folder of one name.
  ASSERT_EQ(run({"map", small_survey().string(), "--out", "out"}, comma).exit_code, 0);
  const auto with_point = test::files_below(mapped_small_survey());
  const auto with_comma = test::files_below(comma.folder);
  ASSERT_EQ(with_point.size(), with_comma.size());
  for (const auto& [name, text] : with_point) {
    EXPECT_TRUE(with_comma.at(name) == text) << name;
  }
}

TEST(Map, TakesAGridStepAndSimplerMethods) {
  const fs::path top = test::scratch_folder();
  for (const char* method : {"kriging", "linear", "thin-plate", "inverse-distance"}) {
    const ProcessResult result = run({"map",
                                      small_survey().string(),
                                      "--no-pictures",
                                      "--method",
                                      method,
                                      "--grid",
                                      "50 mm",
                                      "--out",
                                      (top / method).string()});
    ASSERT_EQ(result.exit_code, 0) << method << ": " << result.err;
    const std::string table = test::file_content(top / method / "plane-1.6m.csv");
    EXPECT_EQ(table.substr(0, table.find('\n')), "y_m,z_m,speed_m_s,speed_uncertainty_m_s,support");
    const std::string image = test::file_content(top / method / "plane-1.6m.vti");
    EXPECT_NE(image.find("Spacing=\"0.05 0.05 0.05\""), std::string::npos) << method;
  }
}

TEST(Map, IsQuietWhenAsked) {
  const fs::path top = test::scratch_folder();
  const ProcessResult result =
      run(quick_map({"--no-pictures", "--quiet", "--out", (top / "out").string()}));
  EXPECT_EQ(result.exit_code, 0);
  EXPECT_EQ(result.out, "");
  EXPECT_EQ(result.err, "");
  EXPECT_TRUE(fs::exists(top / "out/summary.json"));
}

TEST(Map, NamesEveryFaultOfASurveyAtOnceWithItsPlace) {
  const fs::path top = test::scratch_folder();
  fs::copy(small_survey().parent_path(), top / "heron", fs::copy_options::recursive);
  std::string text = test::file_content(top / "heron/survey.toml");
  const auto replace = [&](const std::string& from, const std::string& to) {
    const std::size_t at = text.find(from);
    ASSERT_NE(at, std::string::npos) << from;
    text.replace(at, from.size(), to);
  };
  replace("humidity", "humidty");
  replace("diameter = \"0.40 m\"", "diameter = \"-0.40 m\"");
  replace("kind = \"vane\"", "kind = \"wane\"");
  std::ofstream(top / "heron/survey.toml") << text;
  const ProcessResult result =
      run({"map", (top / "heron/survey.toml").string(), "--out", (top / "out").string()});
  EXPECT_EQ(result.exit_code, 2);
  EXPECT_EQ(result.out, "");
  EXPECT_GE(lines_of(result.err), 3u) << result.err;
  for (const char* word : {"humidty", "-0.40 m", "wane"}) {
    EXPECT_NE(result.err.find(word), std::string::npos) << word << " in\n" << result.err;
  }
  std::istringstream lines(result.err);
  for (std::string line; std::getline(lines, line);) {
    EXPECT_EQ(line.rfind((top / "heron/survey.toml").string() + ":", 0), 0u) << line;
  }
  EXPECT_FALSE(fs::exists(top / "out"));
}

TEST(Map, SaysOneLineAndWritesNothingWhenTheMachineSaysNo) {
  const fs::path top = test::scratch_folder();
  test::ProcessOptions full_disk;
  full_disk.most_file_bytes = 3000;
  const ProcessResult too_big = run(
      quick_map({"--quiet", "--no-pictures", "--out", (top / "new/out").string()}), full_disk);
  EXPECT_EQ(too_big.exit_code, 1);
  EXPECT_NE(too_big.err.find("cannot be written"), std::string::npos) << too_big.err;
  EXPECT_EQ(lines_of(too_big.err), 1u);
  EXPECT_EQ(entries_in(top), 0u);

  // Nothing can be made in /proc, not even by the superuser.
  const ProcessResult no_place =
      run(quick_map({"--no-pictures", "--out", "/proc/sweepflux"}));
  EXPECT_EQ(no_place.exit_code, 1);
  EXPECT_EQ(lines_of(no_place.err), 1u) << no_place.err;
}

TEST(Map, SaysSoWhenStandardOutputIsFull) {
  test::ProcessOptions full;
  full.out_to = "/dev/full";
  const std::vector<std::vector<std::string>> lines = {
      quick_map({"--json"}), {"--help"}, {"--version"}, {"map", "--help"}};
  for (const std::vector<std::string>& line : lines) {
    const ProcessResult result = run(line, full);
    EXPECT_EQ(result.exit_code, 1) << line.back();
    EXPECT_NE(result.err.find("standard output"), std::string::npos) << result.err;
  }
}

TEST(Map, LeavesNothingBehindWhenInterrupted) {
  const fs::path top = test::scratch_folder();
  const ProcessResult first =
      run(quick_map({"--no-pictures", "--out", (top / "out").string()}));
  ASSERT_EQ(first.exit_code, 0) << first.err;
  const auto before = test::files_below(top);
  test::ProcessOptions interrupted;
  interrupted.interrupt_when_listening = true;
  for (const char* out : {"out", "deep/new"}) {
    const fs::path survey = test::source_folder() / "scans/heron-3/survey.toml";
    const ProcessResult result =
        run({"map", survey.string(), "--out", (top / out).string()}, interrupted);
    EXPECT_EQ(result.exit_code, 130) << result.err;
    EXPECT_NE(result.err.find("nothing was written"), std::string::npos) << result.err;
    EXPECT_TRUE(test::files_below(top) == before) << out;
    EXPECT_EQ(entries_in(top), 1u) << out;
  }
}

}  // namespace
}  // namespace sweepflux
