#include "sweepflux/record/append_sweep.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/survey/read_campaign_file.hpp"
#include "sweepflux/capture/survey/survey_template.hpp"
#include "tests/support/process.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <fstream>
#include <string>

namespace sweepflux {
namespace {

namespace fs = std::filesystem;

fs::path written(const std::string& text) {
  const fs::path folder = test::scratch_folder();
  fs::create_directories(folder / "sweeps");
  std::ofstream(folder / example_sweep_file, std::ios::binary) << example_sweep();
  std::ofstream(folder / "survey.toml", std::ios::binary) << text;
  return folder / "survey.toml";
}

ReducedLog some_sweep(double speed_m_s = 2.0) {
  ReducedLog reduced;
  reduced.file = "logs/a.csv";
  for (int i = -3; i <= 3; ++i) {
    ReducedReading r;
    r.position = 5.0 * i * degree_rad;
    r.speed_m_s = speed_m_s;
    r.spread_m_s = 0.1;
    r.standard_error_m_s = 0.02;
    r.samples = 40;
    r.dwell_s = 4.0;
    r.time_s = 6.0 * i + 20.0;
    reduced.readings.push_back(r);
  }
  return reduced;
}

TEST(AppendSweep, KeepsEveryByteOfTheSurveyAndAddsOneSweepToIt) {
  for (const bool carriage_returns : {false, true}) {
    std::string text = survey_template();
    if (carriage_returns) {
      for (std::size_t at = 0; (at = text.find('\n', at)) != std::string::npos; at += 2) {
        text.insert(at, "\r");
      }
    }
    const fs::path file = written(text);
    fs::permissions(file, fs::perms::owner_read | fs::perms::owner_write);
    const AppendedSweep added = append_sweep(file, "", some_sweep(), 1.5, 1.0600000000000001);
    EXPECT_FALSE(added.was_there);
    EXPECT_TRUE(fs::exists(added.file));
    const std::string after = test::file_content(file);
    EXPECT_EQ(after.substr(0, text.size()), text);
    EXPECT_EQ(after.find('\n', text.size()) > 0 && after[after.size() - 2] == '\r',
              carriage_returns);
    const Survey survey = read_survey(file);
    ASSERT_EQ(survey.sweeps.size(), 2U);
    EXPECT_EQ(survey.sweeps[1].height_m, 1.0600000000000001) << "to the last bit";
    EXPECT_EQ(survey.sweeps[1].readings.size(), 7U);
    EXPECT_EQ(fs::status(file).permissions(), fs::perms::owner_read | fs::perms::owner_write);
    std::size_t hidden = 0;
    for (const auto& entry : fs::directory_iterator(file.parent_path())) {
      hidden += entry.path().filename().string().starts_with('.') ? 1U : 0U;
    }
    EXPECT_EQ(hidden, 0U);
  }
}

TEST(AppendSweep, TheSameReadingsAreNotAddedTwice) {
  const fs::path file = written(survey_template());
  (void)append_sweep(file, "", some_sweep(), 1.5, 1.1);
  const std::string once = test::file_content(file);
  const AppendedSweep again = append_sweep(file, "", some_sweep(), 1.5, 1.1);
  EXPECT_TRUE(again.was_there);
  EXPECT_EQ(test::file_content(file), once);
  const AppendedSweep other = append_sweep(file, "", some_sweep(2.5), 1.5, 1.1);
  EXPECT_FALSE(other.was_there);
  EXPECT_NE(other.file, again.file) << "nothing measured is written over";
}

TEST(AppendSweep, OtherNamesOfTheSurveysColumnsDoNotHideIt) {
  std::string text = survey_template();
  text.insert(text.find("[[sweep]]"), "[columns]\nangle = \"Pos\"\nspeed = \"V\"\n\n");
  std::string sweep = example_sweep();
  sweep.replace(sweep.find("angle [deg],speed [m/s]"), 23, "Pos [deg],V [m/s]");
  const fs::path file = written(text);
  std::ofstream(file.parent_path() / example_sweep_file, std::ios::binary) << sweep;
  (void)append_sweep(file, "", some_sweep(), 1.5, 1.1);
  EXPECT_EQ(read_survey(file).sweeps.size(), 2U);
}

TEST(AppendSweep, ASurveyThatTakesNoBlockIsLeftAsItIs) {
  std::string text = survey_template();
  const std::size_t block = text.find("[[sweep]]");
  text.erase(block, text.find("# [plan]") - block);
  text.insert(0, "sweep = [{file = \"sweeps/near-0.92.csv\", distance = \"1.5 m\", "
                 "height = \"0.92 m\"}]\n");
  const fs::path file = written(text);
  EXPECT_THROW((void)append_sweep(file, "", some_sweep(), 1.5, 1.1), InputError);
  EXPECT_EQ(test::file_content(file), text);
  EXPECT_EQ(test::files_below(file.parent_path()).size(), 2U);
}

TEST(AppendSweep, OfACampaignItGoesToItsSetting) {
  std::string text = campaign_template();
  text += "\n[[fan.setting]]\nsetting = \"1\"  # the last\n";
  const fs::path file = written(text);
  for (const char* member : {"heron-3", "heron-2", "heron-1"}) {
    (void)append_sweep(file, member, some_sweep(), 1.5, 1.1);
  }
  const std::vector<Survey> surveys = read_campaign_file(file);
  ASSERT_EQ(surveys.size(), 3U);
  EXPECT_EQ(surveys[0].sweeps.size(), 2U);
  EXPECT_EQ(surveys[1].sweeps[0].file.filename(), "heron-2-1.5m-1.1m.csv");
  EXPECT_EQ(surveys[1].sweeps.size(), 1U);
  EXPECT_EQ(surveys[2].sweeps.size(), 1U);
  EXPECT_TRUE(surveys[0].balance);
  EXPECT_NE(test::file_content(file).find("# the last"), std::string::npos);
}

}  // namespace
}  // namespace sweepflux
