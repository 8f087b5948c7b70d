#include "tests/capture/written_survey.hpp"

#include <gtest/gtest.h>

#include <string>

namespace sweepflux {
namespace {

using test::usual_sections;
using test::WrittenSurvey;

const std::string small_log =
    "time [s],angle [deg],speed [m/s]\n"
    "0,-2,1.1\n1,-2,1.2\n2,0,2.1\n3,0,2.2\n";

WrittenSurvey survey_with(const std::string& toml, const std::string& log = small_log) {
  WrittenSurvey survey(usual_sections + toml);
  survey.write("logs/near.csv", log);
  return survey;
}

TEST(LogsInSurvey, AreNamedInPlaceOfAFileAndKeepTheirPlaceAmongTheSweeps) {
  const WrittenSurvey survey = survey_with(R"([log]
settle = "2 s"
dates = "month-first"
[[sweep]]
file = "a.csv"
distance = "1.5 m"
height = "0.8 m"
[[sweep]]
log = "logs/near.csv"
distance = "1.5 m"
height = "0.92 m"
settle = "0.5 min"
continuous = true
)");
  survey.write("a.csv", "angle [deg],speed [m/s]\n-1,1\n0,2\n1,1\n");
  const Survey read = survey.read();
  ASSERT_EQ(read.sweeps.size(), 1u);
  ASSERT_EQ(read.logs.size(), 1u);
  const LoggedSweep& log = read.logs[0];
  EXPECT_EQ(log.place, 1u);
  EXPECT_EQ(log.name, "near.csv");
  EXPECT_EQ(log.file, survey.folder() / "logs/near.csv");
  EXPECT_DOUBLE_EQ(log.height_m, 0.92);
  EXPECT_EQ(log.recipe.settle_s, 30.0) << "the block's own word counts";
  EXPECT_EQ(log.recipe.dates, DateOrder::month_first) << "from [log]";
  EXPECT_EQ(log.recipe.continuous, true);
  EXPECT_EQ(log.spot.line, 27u);
}

TEST(LogsInSurvey, TakeTheNamesOfColumnsWhereLogHasNone) {
  const WrittenSurvey survey = survey_with(R"([columns]
angle = "Pos"
speed = "V"
[columns.units]
angle = "deg"
speed = "ft/min"
[log]
value_unit = "m/s"
[[sweep]]
log = "logs/near.csv"
distance = "1.5 m"
height = "0.92 m"
)",
                                           "time [s],Pos,V\n0,-2,1.1\n1,0,1.2\n");
  const Survey read = survey.read();
  ASSERT_EQ(read.logs.size(), 1u);
  EXPECT_EQ(read.logs[0].recipe.position, "Pos");
  EXPECT_EQ(read.logs[0].recipe.position_unit, "deg");
  EXPECT_EQ(read.logs[0].recipe.value_unit, "m/s");
}

TEST(LogsInSurvey, MayTellAnglesInStepsOfTheMotorWhoseSizeTheRigStates) {
  const std::string log = "time [s],angle [steps],speed [m/s]\n0,-20,1.1\n1,0,1.2\n";
  const std::string sweep =
      "[[sweep]]\nlog = \"near.csv\"\ndistance = \"1.5 m\"\nheight = \"0.9 m\"\n";
  std::string text = usual_sections + sweep;
  const WrittenSurvey without(text);
  without.write("near.csv", log);
  EXPECT_THROW((void)without.read(), SurveyError);
  text.replace(text.find("[rig]\n"), 6, "[rig]\nstep_angle = \"0.1 deg\"\n");
  const WrittenSurvey with(text);
  with.write("near.csv", log);
  EXPECT_EQ(with.read().logs.size(), 1u);
}

TEST(LogsInSurvey, EveryFaultIsReportedAtOnce) {
  const WrittenSurvey survey = survey_with(R"([log]
start = "-24 deg"
step = "0 deg"
dwel = "8 s"
[[sweep]]
log = "logs/neer.csv"
distance = "1.5 m"
height = "0.92 m"
[[sweep]]
log = "logs/near.csv"
file = "logs/near.csv"
height = "0.92 m"
[[sweep]]
log = "logs/wordless.csv"
distance = "1.5 m"
height = "1.1 m"
stops = 2.5
dwell = "-8 s"
)");
  survey.write("logs/wordless.csv", "time [s],angle [deg],wind\n0,-2,1.1\n");
  std::string all;
  for (const std::string& line : survey.refusals()) {
    all += line + "\n";
  }
  for (const char* const part :
       {"survey.toml:21:8: log.step is 0",
        "survey.toml:22:1: ",
        "did you mean `dwell`",
        "survey.toml:24:7: `logs/neer.csv` is not there, did you mean `near.csv`",
        "survey.toml:29:8: sweep 2 names both a file and a log",
        "log `logs/near.csv` has no distance",
        "sweep 3.stops must be a whole number",
        "survey.toml:36:9: ",
        "a regular sweep needs start, step, stops and dwell together",
        "logs/wordless.csv:1:"}) {
    EXPECT_NE(all.find(part), std::string::npos) << part << "\nin\n" << all;
  }
}

constexpr const char* near_log = R"([[sweep]]
log = "logs/near.csv"
distance = "1.5 m"
height = "0.92 m"
)";

TEST(LogsInSurvey, ALogWithoutAngleNeedsItsStops) {
  const std::string block = near_log;
  const std::string log = "time [s],speed [m/s]\n0,1.1\n1,1.2\n";
  const auto refused = survey_with(block, log).refusals();
  ASSERT_EQ(refused.size(), 1u);
  EXPECT_EQ(refused[0].rfind("survey.toml:20:7: log `logs/near.csv` has no column `angle`", 0), 0u)
      << refused[0];
  const auto with_pattern = survey_with(
      block + "start = \"-4 deg\"\nstep = \"2 deg\"\nstops = 5\ndwell = \"8 s\"\n", log);
  EXPECT_TRUE(with_pattern.refusals().empty());
  const auto with_bad_list = survey_with(block + "steps = \"stops.csv\"\n", log);
  with_bad_list.write("stops.csv", "angle [deg],time [s]\n-4,0\n");
  const auto list_refused = with_bad_list.refusals();
  ASSERT_EQ(list_refused.size(), 1u);
  EXPECT_EQ(list_refused[0].rfind("stops.csv:1:1: no column `dwell`", 0), 0u) << list_refused[0];
}

TEST(LogsInSurvey, TheSameLogTwiceIsRefusedUnlessItsPartsAreDistinguished) {
  const std::string block = near_log;
  const auto twice = survey_with(block + block).refusals();
  ASSERT_EQ(twice.size(), 1u);
  EXPECT_NE(twice[0].find("was named before (line 20)"), std::string::npos);
  EXPECT_TRUE(survey_with(block + "begin = \"10 s\"\n" + block).refusals().empty());
}

TEST(LogsInSurvey, KeysOfALogBesideAFileAreRefused) {
  const WrittenSurvey survey(usual_sections + test::usual_sweep + "settle = \"2 s\"\n");
  survey.write("near.csv", "angle [deg],speed [m/s]\n-1,1\n0,2\n1,1\n");
  const auto refused = survey.refusals();
  ASSERT_EQ(refused.size(), 1u);
  EXPECT_NE(refused[0].find("settle"), std::string::npos);
}

}  // namespace
}  // namespace sweepflux
