// Several mistakes in one file: all must be reported in one run, each at its place.
#include "tests/capture/written_survey.hpp"

#include <gtest/gtest.h>

#include <string>
#include <vector>

namespace sweepflux {
namespace {

using test::WrittenSurvey;

/// Compares the beginnings.
void expect_messages(const std::vector<std::string>& messages,
                     const std::vector<std::string>& beginnings) {
  std::string text;
  for (const std::string& message : messages) {
    text += message + "\n";
  }
  ASSERT_EQ(messages.size(), beginnings.size()) << text;
  for (std::size_t i = 0; i < messages.size(); ++i) {
    EXPECT_EQ(messages[i].substr(0, beginnings[i].size()), beginnings[i]);
  }
}

/// Without the sections that a survey needs, their absence would be reported as well.
const std::string rest = R"([outlet]
diameter = "0.40 m"
centre_height = "0.92 m"
[[sweep]]
file = "near.csv"
distance = "1.5 m"
height = "0.92 m"
)";

WrittenSurvey survey_of(const std::string& toml) {
  WrittenSurvey survey(toml + rest);
  survey.write("near.csv", "angle [deg],speed [m/s]\n-10,1.86\n0,3.41\n");
  return survey;
}

TEST(SurveyMistakes, go_on_behind_a_key_that_is_defined_twice) {
  const std::string toml = R"(# rig description
[air]
temperature = "21.5 degC"
pressure    = "1013.25 hPa"
humidity    = "45"

[rig]
dwell_time  = "10 s"
settle_time = "2 s"
dwell_time  = "12 s"
[probe]
kind = 3
)";
  expect_messages(survey_of(toml).refusals(),
                  {"survey.toml:5:15: air.humidity: `45` has no unit",
                   "survey.toml:10:1: dwell_time is defined twice (first at 8:1)",
                   "survey.toml:12:8: probe.kind is `3`, must be text"});
}

TEST(SurveyMistakes, go_on_behind_a_number_that_is_none) {
  const std::string toml = R"([probe]
kind = "pitto"
scale_uncertainty = .05
resolution = "0.01 m/s"

[rig]
dwell_tmie = "10 s"
step_angle = "-1.2 deg"
[balance]
readings = ["96 g", "98 g", 97]
[air]
temperature = "21.5 degC"
pressure = "1013.25 hPa"
)";
  expect_messages(survey_of(toml).refusals(),
                  {"survey.toml:2:8: probe.kind is `pitto`, must be one of `vane`, `thermal`, "
                   "`hot-wire`, `pitot`, `ultrasonic`, did you mean `pitot`?",
                   "survey.toml:3:21: `.05` is no TOML number; write 0.05",
                   "survey.toml:7:1: unknown key `rig.dwell_tmie`, did you mean `dwell_time`?",
                   "survey.toml:8:14: rig.step_angle is `-1.2 deg`, must be > 0",
                   "survey.toml:10:29: balance.readings is `97`, must be text with a number"});
}

TEST(SurveyMistakes, tell_ten_broken_lines_and_what_stands_between_them) {
  const std::string toml = R"([survey]
title = Herb loft
fan = "heron
setting = 3
[air
temperature = 21.5 degC
pressure = "1006.2 hPa"
humidity = "45"
[probe]
kind = vane
calibration = [["0.5 m/s", "0.52 m/s"], ["0.4 m/s", "1.98 m/s"]
resolution = "0.01 m/s"
[rig]
motion = "swivvel"
clockwise = True
nonsense
[rig]
)";
  expect_messages(survey_of(toml).refusals(),
                  {"survey.toml:2:9: `Herb loft` is no TOML value",
                   "survey.toml:3:7: text that no quotation mark closes",
                   "survey.toml:4:11: survey.setting is `3`, must be text",
                   "survey.toml:5:1: this is no section header",
                   "survey.toml:6:15: `21.5 degC` is no TOML number",
                   "survey.toml:8:12: air.humidity: `45` has no unit",
                   "survey.toml:10:8: `vane` is no TOML value",
                   "survey.toml:11:15: a list or table that no bracket closes",
                   "survey.toml:14:10: rig.motion is `swivvel`",
                   "survey.toml:15:13: `True` is no TOML value",
                   "survey.toml:16:1: `nonsense` is neither",
                   "survey.toml:17:1: [rig] stands twice (first at 13:1)"});
}

TEST(SurveyMistakes, count_columns_in_bytes) {
  // The o with two dots has two bytes in UTF-8.
  expect_messages(WrittenSurvey(test::usual_sections + test::usual_sweep +
                                "columns = { speed = \"L\xC3\xB6"
                                "ft\", sped = \"x\" }\n")
                      .refusals(),
                  {"survey.toml:20:12: `near.csv` cannot be opened",
                   "survey.toml:23:30: unknown key `sweep 1.columns.sped`"});
}

TEST(SurveyMistakes, read_latin1_and_old_line_ends) {
  std::string toml = "# K\xFC" "ssnacht\n" + test::usual_sections + test::usual_sweep;
  for (char& c : toml) {
    c = c == '\n' ? '\r' : c;
  }
  WrittenSurvey survey(toml);
  survey.write("near.csv", "angle [deg],speed [m/s]\n-10,1.86\n0,3.41\n");
  const Survey read = survey.read();
  EXPECT_EQ(read.sweeps.size(), 1U);
  ASSERT_EQ(read.remarks.size(), 1U);
  EXPECT_EQ(read.remarks[0].text, "not UTF-8, read as Latin-1");
}

TEST(SurveyMistakes, do_not_follow_from_a_mistake_already_reported) {
  // A key that is broken is not missing as well.
  std::string toml = test::usual_sections + test::usual_sweep;
  toml.replace(toml.find("\"0.40 m\""), 8, "0.40 m");
  WrittenSurvey survey(toml);
  survey.write("near.csv", "angle [deg],speed [m/s]\n-10,1.86\n0,3.41\n");
  EXPECT_EQ(survey.refusals().size(), 1U);
}

}  // namespace
}  // namespace sweepflux
