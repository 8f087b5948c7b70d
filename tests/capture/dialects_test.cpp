// Small awkward files, one symptom each. The base sweep is -20 to 20 degrees by 5, its mean speed
// 1.73 m/s.
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/survey/read_survey.hpp"
#include "tests/capture/written_survey.hpp"
#include "tests/support/comma_locale.hpp"

#include <gtest/gtest.h>

#include <string>
#include <vector>

namespace sweepflux {
namespace {

using test::survey_of;
using test::WrittenSurvey;

const std::vector<double> base_angles = {-20, -15, -10, -5, 0, 5, 10, 15, 20};
const std::vector<double> base_speeds = {.42, .97, 1.86, 2.95, 3.41, 2.88, 1.79, .91, .38};

void expect_base_sweep(const Survey& survey) {
  ASSERT_EQ(survey.sweeps.size(), 1U);
  const std::vector<Reading>& readings = survey.sweeps[0].readings;
  ASSERT_EQ(readings.size(), base_angles.size());
  for (std::size_t i = 0; i < readings.size(); ++i) {
    EXPECT_DOUBLE_EQ(readings[i].position, base_angles[i] * degree_rad);
    EXPECT_EQ(readings[i].speed_m_s, base_speeds[i]);
  }
}

bool has_remark(const Survey& survey, const std::string& words) {
  for (const Finding& remark : survey.remarks) {
    if (remark.text.find(words) != std::string::npos) {
      return true;
    }
  }
  return false;
}

/// The base sweep in a dialect.
std::string base_csv(const std::string& heading,
                     char separator,
                     char mark,
                     const std::string& line_end,
                     const std::string& tail = "") {
  std::string text = heading + line_end;
  for (std::size_t i = 0; i < base_angles.size(); ++i) {
    std::string speed = format_number(base_speeds[i], 10);
    speed.replace(speed.find('.'), 1, 1, mark);
    text += format_number(base_angles[i], 10) + separator + speed + tail + line_end;
  }
  return text;
}

TEST(Dialects, reads_the_plain_file) {
  expect_base_sweep(survey_of(base_csv("angle [deg],speed [m/s]", ',', '.', "\n")).read());
}

TEST(Dialects, reads_every_separator_decimal_mark_and_line_end) {
  for (const std::string line_end : {"\n", "\r\n", "\r"}) {
    for (const char mark : {'.', ','}) {
      for (const char separator : {',', ';', '\t', '|', ' '}) {
        if (separator == ',' && mark == ',') {
          continue;
        }
        const std::string heading = std::string("angle_deg") + separator + "speed_m_s";
        expect_base_sweep(survey_of(base_csv(heading, separator, mark, line_end)).read());
      }
    }
  }
}

TEST(Dialects, reads_the_same_under_a_comma_decimal_locale) {
  const test::CommaLocale comma;
  if (!comma.is_set()) {
    GTEST_SKIP() << "skipped: no comma-decimal locale on this machine";
  }
  expect_base_sweep(survey_of(base_csv("angle [deg],speed [m/s]", ',', '.', "\n")).read());
  expect_base_sweep(survey_of(base_csv("angle [deg];speed [m/s]", ';', ',', "\n")).read());
}

TEST(Dialects, reads_an_export_with_sep_line_and_foreign_names) {
  const std::string csv = "sep=;\r\n" + base_csv("Winkel_Grad;Tempo_m_s", ';', ',', "\r\n");
  const Survey survey = survey_of(csv,
                                  "[columns]\nangle = \"Winkel_Grad\"\nspeed = \"Tempo_m_s\"\n"
                                  "[columns.units]\nangle = \"deg\"\n")
                            .read();
  expect_base_sweep(survey);
  EXPECT_EQ(survey.sweeps[0].readings[0].line, 3U);
}

TEST(Dialects, lists_the_names_found_when_none_is_known) {
  const std::string csv = "sep=;\r\n" + base_csv("Winkel_Grad;Tempo_m_s;", ';', ',', "\r\n", ";");
  const std::vector<std::string> refusals = survey_of(csv).refusals();
  ASSERT_EQ(refusals.size(), 1U);
  EXPECT_EQ(refusals[0],
            "near.csv:2: no column `angle`, `speed`; found `Winkel_Grad`, `Tempo_m_s`; rename it, "
            "or say under [columns] which one it is");
}

TEST(Dialects, takes_a_byte_order_mark_off_a_quoted_heading) {
  expect_base_sweep(
      survey_of(base_csv("\xEF\xBB\xBF\"angle_deg\",\"speed_mps\",\"note\",", ',', '.', "\n", ",,"))
          .read());
}

TEST(Dialects, reads_a_units_row_in_latin1) {
  const Survey survey = survey_of(base_csv("angle,speed\n[\xB0],[m/s]", ',', '.', "\n")).read();
  expect_base_sweep(survey);
  EXPECT_TRUE(has_remark(survey, "read as Latin-1"));
  EXPECT_EQ(survey.sweeps[0].readings[0].line, 3U);
}

TEST(Dialects, tells_missing_from_over_range_and_makes_neither_zero) {
  const Survey survey = survey_of(
                            "angle_deg,speed_mps\n-20,0.42\n-15,---\n-10,1.86\n-5,OL\n0,3.41\n5,\n"
                            "10,1.79\n15,NaN\n20,0.38\n25, \n")
                            .read();
  const Sweep& sweep = survey.sweeps.at(0);
  ASSERT_EQ(sweep.readings.size(), 5U);
  double sum = 0.0;
  for (const Reading& reading : sweep.readings) {
    sum += reading.speed_m_s;
  }
  EXPECT_NEAR(sum / 5.0, 1.572, 1e-12);
  ASSERT_EQ(sweep.left_out.size(), 5U);
  EXPECT_EQ(sweep.left_out[0].line, 3U);
  EXPECT_EQ(sweep.left_out[0].reason, "speed: missing value `---`");
  EXPECT_EQ(sweep.left_out[1].line, 5U);
  EXPECT_TRUE(sweep.left_out[1].over_range);
  EXPECT_NE(sweep.left_out[1].reason.find("over range `OL`"), std::string::npos);
  EXPECT_FALSE(sweep.left_out[2].over_range);
  EXPECT_EQ(sweep.left_out[4].line, 11U);
}

TEST(Dialects, drops_a_last_line_that_a_power_failure_cut) {
  const std::string whole =
      "t_s,angle_deg,speed_mps,temp_c\n0.0,-20,0.42,21.4\n2.0,-10,1.86,21.5\n4.0,0,3.41,21.5\n"
      "6.0,10,1.79,21.6\n";
  for (const std::string cut : {"8.0,20,0.3", "8.0,20,0.", "8.0,2", "8"}) {
    const Survey survey = survey_of(whole + cut).read();
    EXPECT_EQ(survey.sweeps.at(0).readings.size(), 4U) << cut;
    ASSERT_EQ(survey.sweeps[0].left_out.size(), 1U) << cut;
    EXPECT_EQ(survey.sweeps[0].left_out[0].line, 6U);
    EXPECT_TRUE(has_remark(survey, "the file ends in the middle of this row"));
  }
  // A separator behind the speed shows that it is whole.
  EXPECT_EQ(survey_of(whole + "8.0,20,0.38,2").read().sweeps.at(0).readings.size(), 5U);
}

TEST(Dialects, keeps_a_last_line_without_line_end_when_it_has_all_its_digits) {
  const std::string rows = "angle [deg],speed [m/s]\n-20,0.42\n-10,1.86\n";
  EXPECT_EQ(survey_of(rows + "0,3.41").read().sweeps.at(0).readings.size(), 3U);
  EXPECT_EQ(survey_of(rows + "0,3.4").read().sweeps.at(0).readings.size(), 2U);
  EXPECT_EQ(survey_of(rows + "0,3").read().sweeps.at(0).readings.size(), 2U);
  EXPECT_EQ(survey_of(rows + "0,\"3.4\"").read().sweeps.at(0).readings.size(), 3U);
}

TEST(Dialects, rejects_a_row_with_nul_bytes) {
  const std::string csv =
      std::string("t_s,angle_deg,speed_mps\n0.0,-20,0.42\n2.0,-10,1.86\n4.0,0,3.4") +
      std::string(24, '\0') + "\n8.0,20,0.38\n10.0,30,0.11\n";
  const Survey survey = survey_of(csv).read();
  const Sweep& sweep = survey.sweeps.at(0);
  EXPECT_EQ(sweep.readings.size(), 4U);
  ASSERT_EQ(sweep.left_out.size(), 1U);
  EXPECT_EQ(sweep.left_out[0].reason, "NUL byte at 4:10");
  for (const Reading& reading : sweep.readings) {
    EXPECT_NE(reading.speed_m_s, 3.4);
  }
}

TEST(Dialects, decides_the_order_of_day_and_month_for_the_whole_column) {
  const std::string csv =
      "time,angle_deg,speed_mps\n03/04/2025 09:59:58,-20,0.42\n03/04/2025 10:00:00,-10,1.86\n"
      "11/04/2025 10:00:02,0,3.41\n12/04/2025 10:00:04,10,1.79\n13/04/2025 10:00:06,20,0.38\n";
  const Survey survey = survey_of(csv).read();
  const std::vector<Reading>& readings = survey.sweeps.at(0).readings;
  ASSERT_EQ(readings.size(), 5U);
  EXPECT_DOUBLE_EQ(*readings.back().time_s - *readings.front().time_s, 10 * 86400.0 + 8.0);
}

TEST(Dialects, asks_when_the_order_of_day_and_month_cannot_be_known) {
  const std::string csv =
      "time,angle_deg,speed_mps\n03/04/2025 09:59:58,-20,0.42\n04/04/2025 10:00:00,-10,1.86\n";
  const std::vector<std::string> refusals = survey_of(csv).refusals();
  ASSERT_EQ(refusals.size(), 1U);
  EXPECT_NE(refusals[0].find("near.csv:1:1: the dates of column `time`"), std::string::npos);
  const auto span = [&csv](const std::string& order) {
    const Survey survey = survey_of(csv, "[columns]\ndate_order = \"" + order + "\"\n").read();
    return *survey.sweeps.at(0).readings[1].time_s - *survey.sweeps[0].readings[0].time_s;
  };
  EXPECT_DOUBLE_EQ(span("day-first"), 86402.0);
  EXPECT_DOUBLE_EQ(span("month-first"), 31 * 86400.0 + 2.0);  // 4 March to 4 April
}

TEST(Dialects, reads_numbers_whole_or_refuses_them_with_their_place) {
  const std::string good =
      "angle_deg,speed_mps\n-30,+0.12\n-20,.42\n-10,1.86e0\n0,3.41E+00\n10,17.9e-1\n";
  const Survey survey = survey_of(good + "30, 0.11\n").read();
  const std::vector<double> expected = {.12, .42, 1.86, 3.41, 1.79, .11};
  ASSERT_EQ(survey.sweeps.at(0).readings.size(), expected.size());
  for (std::size_t i = 0; i < expected.size(); ++i) {
    EXPECT_DOUBLE_EQ(survey.sweeps[0].readings[i].speed_m_s, expected[i]);
  }
  const std::vector<std::string> refusals =
      survey_of(good + "20,3.8D-01\n30, 0.11\n40,0x1p-3\n50,1_000\n").refusals();
  ASSERT_EQ(refusals.size(), 3U);
  EXPECT_NE(refusals[0].find("near.csv:7:4: speed is `3.8D-01`"), std::string::npos);
  EXPECT_NE(refusals[1].find("near.csv:9:4: speed is `0x1p-3`"), std::string::npos);
  EXPECT_NE(refusals[2].find("near.csv:10:4: speed is `1_000`"), std::string::npos);
}

TEST(Dialects, finds_columns_by_name_and_never_by_position) {
  std::string csv = "speed_mps,temp_c,angle_deg\n";
  for (std::size_t i = 0; i < base_angles.size(); ++i) {
    csv += format_number(base_speeds[i], 10) + ",21.4," + format_number(base_angles[i], 10) + "\n";
  }
  expect_base_sweep(survey_of(csv).read());
}

TEST(Dialects, never_judges_a_column_that_is_not_used) {
  expect_base_sweep(
      survey_of(
          base_csv("angle_deg,speed_mps,remark,u [furlong]", ',', '.', "\n", ",0x1p-3,2.2 oz"))
          .read());
}

TEST(Dialects, runs_angles_on_past_180_degrees) {
  const Survey survey =
      survey_of(
          "angle_deg,speed_mps\n165,0.4\n170,1.5\n175,3.1\n180,3.6\n-175,2.9\n-170,1.3\n-165,0.3\n")
          .read();
  const std::vector<Reading>& readings = survey.sweeps.at(0).readings;
  ASSERT_EQ(readings.size(), 7U);
  double weighted = 0.0;
  double sum = 0.0;
  double trapezoid = 0.0;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    EXPECT_NEAR(readings[i].position / degree_rad, 165.0 + 5.0 * static_cast<double>(i), 1e-9);
    weighted += readings[i].position / degree_rad * readings[i].speed_m_s;
    sum += readings[i].speed_m_s;
    trapezoid += i == 0 ? 0.0 : 2.5 * (readings[i].speed_m_s + readings[i - 1].speed_m_s);
  }
  EXPECT_NEAR(weighted / sum, 179.6565, 5e-5);
  EXPECT_NEAR(trapezoid, 63.75, 1e-9);
  EXPECT_TRUE(has_remark(survey, "read on from 165 to 195 deg"));
}

TEST(Dialects, makes_a_heading_that_comes_again_a_new_sweep) {
  const std::string half = "angle [deg],speed [m/s]\n-10,1\n0,2\n";
  const Survey survey = survey_of(half + half).read();
  ASSERT_EQ(survey.sweeps.size(), 2U);
  EXPECT_EQ(survey.sweeps[0].readings.size(), 2U);
  EXPECT_EQ(survey.sweeps[1].readings[0].line, 5U);
  EXPECT_EQ(survey.sweeps[1].name, "near.csv part 2");
  EXPECT_TRUE(has_remark(survey, "the heading comes again"));
}

TEST(Dialects, understands_a_loggers_four_heading_rows) {
  const Survey survey = survey_of(
                            "\"FORMAT1\",\"0000\",\"UNIT\",\"1\"\r\n"
                            "\"TIMESTAMP\",\"RECORD\",\"Pos\",\"Ux\"\r\n"
                            "\"TS\",\"RN\",\"deg\",\"m/s\"\r\n\"\",\"\",\"Smp\",\"Smp\"\r\n"
                            "\"2012-06-07 13:00:00.05\",111868400,-10,0.468\r\n"
                            "\"2012-06-07 13:00:00.1\",111868401,0,0.60275\r\n"
                            "\"2012-06-07 13:00:01\",111868402,10,0.43\r\n",
                            "[columns]\nangle = \"Pos\"\nspeed = \"Ux\"\ntime = \"TIMESTAMP\"\n")
                            .read();
  const std::vector<Reading>& readings = survey.sweeps.at(0).readings;
  ASSERT_EQ(readings.size(), 3U);
  EXPECT_EQ(readings[0].speed_m_s, 0.468);
  EXPECT_NEAR(*readings[2].time_s - *readings[0].time_s, 0.95, 1e-6);
  EXPECT_TRUE(has_remark(survey, "rows above the heading are not used"));
  EXPECT_TRUE(has_remark(survey, "no number in this line below the heading"));
}

TEST(Dialects, takes_a_heading_from_the_last_comment_when_there_is_no_other) {
  expect_base_sweep(survey_of(base_csv("# angle [deg] speed [m/s]", ' ', '.', "\n")).read());
}

TEST(Dialects, refuses_a_column_that_mixes_decimal_marks) {
  const std::vector<std::string> refusals =
      survey_of("angle [deg];speed [m/s]\n-10;1,5\n0;2.5\n").refusals();
  ASSERT_EQ(refusals.size(), 1U);
  EXPECT_NE(refusals[0].find("decimal comma in line 2 and a decimal point in line 3"),
            std::string::npos);
}

TEST(Dialects, refuses_decimal_commas_between_commas) {
  const std::vector<std::string> refusals =
      survey_of("angle [deg],speed [m/s]\n-10,0,0,42\n0,0,3,41\n").refusals();
  ASSERT_EQ(refusals.size(), 2U);
  EXPECT_NE(refusals[0].find("4 cells, but the heading names 2"), std::string::npos);
}

TEST(Dialects, uses_declared_words_for_missing_before_any_number_is_made) {
  const Survey survey = survey_of("angle [deg],speed [m/s]\n-10,1.5\n0,-999\n10,1.4\n",
                                  "[columns]\nmissing = [\"-999\"]\n")
                            .read();
  EXPECT_EQ(survey.sweeps.at(0).readings.size(), 2U);
  EXPECT_EQ(survey.sweeps[0].left_out.at(0).reason, "speed: missing value `-999`");
  // Without the declaration it is asked, not used.
  const std::vector<std::string> refusals =
      survey_of("angle [deg],speed [m/s]\n-10,1.5\n0,-999\n10,1.4\n").refusals();
  ASSERT_EQ(refusals.size(), 1U);
  EXPECT_NE(refusals[0].find("near.csv:3:3: speed is `-999`"), std::string::npos);
}

TEST(Dialects, drops_a_short_row_whose_number_may_have_lost_digits) {
  const Survey survey =
      survey_of("angle [deg],speed [m/s],note\n-10,1.86,a\n0,3.4\n10,1.79,b\n").read();
  EXPECT_EQ(survey.sweeps.at(0).readings.size(), 2U);
  ASSERT_EQ(survey.sweeps[0].left_out.size(), 1U);
  EXPECT_EQ(survey.sweeps[0].left_out[0].line, 3U);
  // But not when the rows around it stop there too.
  EXPECT_EQ(survey_of("angle [deg],speed [m/s],note\n-10,1.86\n0,3.41\n10,1.79\n")
                .read()
                .sweeps.at(0)
                .readings.size(),
            3U);
}

}  // namespace
}  // namespace sweepflux
