#include "sweepflux/capture/survey/survey_template.hpp"

#include "sweepflux/capture/survey/read_campaign_file.hpp"
#include "sweepflux/capture/survey/read_session.hpp"
#include "tests/capture/written_survey.hpp"

#include <gtest/gtest.h>

#include <sstream>
#include <string>

namespace sweepflux {
namespace {

test::WrittenSurvey written(const std::string& toml) {
  test::WrittenSurvey survey(toml);
  survey.write(std::string(example_sweep_file), example_sweep());
  return survey;
}

/// Every `# key = value` and `# [section]` made to count; words of explanation stay comments.
std::string with_all_options(const std::string& text) {
  std::istringstream lines(text);
  std::string result;
  for (std::string line; std::getline(lines, line);) {
    const bool is_option =
        line.substr(0, 2) == "# " &&
        (line[2] == '[' || line.find(" = ") < line.find_first_of("\"[0123456789", 2));
    result += (is_option ? line.substr(2) : line) + "\n";
  }
  return result;
}

TEST(SurveyTemplate, reads_without_a_fault) {
  const test::WrittenSurvey survey = written(survey_template());
  EXPECT_EQ(survey.refusals(), std::vector<std::string>{});
  const Survey read = survey.read();
  ASSERT_EQ(read.sweeps.size(), 1U);
  EXPECT_EQ(read.sweeps[0].readings.size(), 9U);
  EXPECT_TRUE(read.sweeps[0].left_out.empty());
  EXPECT_EQ(read.fan, "heron");
  EXPECT_DOUBLE_EQ(read.sweeps[0].distance_m, 1.5);
}

TEST(SurveyTemplate, that_of_a_session_reads_without_a_fault) {
  const test::WrittenSurvey file(session_template());
  const BalanceSession session = read_session(file.folder() / "survey.toml");
  ASSERT_EQ(session.readings.size(), 1U);
  EXPECT_NEAR(session.balance.lever_ratio.value(), 0.412 / 0.3, 1e-12);
}

TEST(SurveyTemplate, that_of_a_campaign_reads_without_a_fault) {
  const test::WrittenSurvey file(campaign_template());
  file.write(std::string(example_sweep_file), example_sweep());
  const std::vector<Survey> surveys = read_campaign_file(file.folder() / "survey.toml");
  ASSERT_EQ(surveys.size(), 2U);
  EXPECT_EQ(surveys[0].sweeps.size(), 1U);
  EXPECT_TRUE(surveys[1].sweeps.empty());
}

TEST(SurveyTemplate, reads_without_a_fault_with_every_option_switched_on) {
  std::string text = with_all_options(survey_template());
  // The example's columns are called otherwise.
  for (const std::string line : {"angle = \"Pos\"\n", "speed = \"V [ft/min]\"\n"}) {
    const std::size_t at = text.find(line.substr(0, line.size() - 1));
    ASSERT_NE(at, std::string::npos);
    text.insert(at, "# ");
  }
  const test::WrittenSurvey survey = written(text);
  EXPECT_EQ(survey.refusals(), std::vector<std::string>{}) << text;
  const Survey read = survey.read();
  ASSERT_TRUE(read.balance);
  EXPECT_EQ(read.balance->readings_n.size(), 3U);
  EXPECT_DOUBLE_EQ(read.balance->readings_n[0], 0.270 * 9.81);
  EXPECT_EQ(read.plan.distances_m.size(), 2U);
  EXPECT_EQ(read.probe.calibration.size(), 2U);
  EXPECT_EQ(read.room.width_m, 5.2);
  EXPECT_EQ(read.variant, "filter out");
  EXPECT_DOUBLE_EQ(read.outlet.sound->distance_m, 1.0);
  EXPECT_DOUBLE_EQ(*read.seat->speed_m_s, 0.4);
  EXPECT_EQ(read.gusts->file.filename(), "rest.csv");
}

TEST(SurveyTemplate, names_the_missing_file_when_the_example_is_not_there) {
  const test::WrittenSurvey survey(survey_template());
  const std::vector<std::string> refusals = survey.refusals();
  ASSERT_EQ(refusals.size(), 1U);
  EXPECT_NE(refusals[0].find("`sweeps/near-0.92.csv` cannot be opened"), std::string::npos);
}

}  // namespace
}  // namespace sweepflux
