// The same symptoms as in dialects_test and survey_mistakes_test, from files made by others.
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/delimited/table.hpp"
#include "sweepflux/capture/survey/read_survey.hpp"
#include "tests/capture/written_survey.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

namespace sweepflux {
namespace {

std::string contents(const std::filesystem::path& file) {
  std::ifstream stream(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(stream), {}};
}

test::WrittenSurvey survey_of_case(const std::filesystem::path& shared,
                                   const std::string& number,
                                   const std::string& more_toml = "") {
  return test::survey_of(contents(shared / "cases" / ("case-" + number + ".csv")), more_toml);
}

/// Mean speed and trapezoid over the angle [m/s deg] of the base sweep, as its authors state them.
void expect_base_case(const Survey& survey) {
  const std::vector<Reading>& readings = survey.sweeps.at(0).readings;
  ASSERT_EQ(readings.size(), 9U);
  double sum = 0.0;
  double trapezoid = 0.0;
  double centre = 0.0;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    sum += readings[i].speed_m_s;
    centre += readings[i].speed_m_s * readings[i].position / degree_rad;
    if (i > 0) {
      trapezoid += 0.5 * (readings[i].speed_m_s + readings[i - 1].speed_m_s) *
                   (readings[i].position - readings[i - 1].position) / degree_rad;
    }
  }
  EXPECT_NEAR(sum / 9.0, 1.73, 5e-3);
  EXPECT_NEAR(trapezoid, 75.85, 1e-9);
  EXPECT_NEAR(centre / sum, -0.17662, 5e-6);
}

TEST(SharedCases, foreign_export) {
  SWEEPFLUX_NEED_SHARED(shared);
  expect_base_case(survey_of_case(shared,
                                  "01",
                                  "[columns]\nangle = \"Winkel_Grad\"\n"
                                  "speed = \"Geschwindigkeit_m_s\"\n"
                                  "[columns.units]\nangle = \"deg\"\n")
                       .read());
  const auto refusals = survey_of_case(shared, "01").refusals();
  ASSERT_EQ(refusals.size(), 1U);
  EXPECT_NE(refusals[0].find("found `Winkel_Grad`, `Geschwindigkeit_m_s`, `Temperatur_C`"),
            std::string::npos);
}

TEST(SharedCases, dialects_of_the_base_sweep) {
  SWEEPFLUX_NEED_SHARED(shared);
  expect_base_case(survey_of_case(shared, "02").read());
  const Survey units_row = survey_of_case(shared, "03", "[columns]\nangle = \"Winkel\"\n").read();
  expect_base_case(units_row);
  EXPECT_EQ(units_row.remarks.at(0).text, "not UTF-8, read as Latin-1");
  expect_base_case(survey_of_case(shared, "12").read());
}

TEST(SharedCases, values_that_are_none) {
  SWEEPFLUX_NEED_SHARED(shared);
  const Survey survey = survey_of_case(shared, "05").read();
  const Sweep& sweep = survey.sweeps.at(0);
  double sum = 0.0;
  for (const Reading& reading : sweep.readings) {
    sum += reading.speed_m_s;
  }
  ASSERT_EQ(sweep.readings.size(), 5U);
  EXPECT_NEAR(sum / 5.0, 1.572, 1e-12);
  EXPECT_EQ(sweep.left_out.size(), 5U);
  EXPECT_EQ(std::count_if(sweep.left_out.begin(),
                          sweep.left_out.end(),
                          [](const LeftOut& left) { return left.over_range; }),
            1);
}

TEST(SharedCases, power_failures) {
  SWEEPFLUX_NEED_SHARED(shared);
  const Survey cut = survey_of_case(shared, "06").read();
  EXPECT_EQ(cut.sweeps.at(0).readings.size(), 4U);
  EXPECT_EQ(cut.sweeps[0].left_out.at(0).line, 6U);
  ASSERT_EQ(cut.remarks.size(), 1U);
  EXPECT_EQ(cut.remarks[0].spot.line, 6U);
  const Survey nul = survey_of_case(shared, "07").read();
  EXPECT_EQ(nul.sweeps.at(0).readings.size(), 4U);
  EXPECT_EQ(nul.sweeps[0].left_out.at(0).reason, "NUL byte at 4:10");
}

TEST(SharedCases, day_and_month) {
  SWEEPFLUX_NEED_SHARED(shared);
  const Survey survey = survey_of_case(shared, "09").read();
  const std::vector<Reading>& readings = survey.sweeps.at(0).readings;
  EXPECT_DOUBLE_EQ(*readings.back().time_s - *readings.front().time_s, 864008.0);
}

TEST(SharedCases, spellings_of_numbers) {
  SWEEPFLUX_NEED_SHARED(shared);
  const auto refusals = survey_of_case(shared, "11").refusals();
  ASSERT_EQ(refusals.size(), 3U);
  EXPECT_EQ(refusals[0].substr(0, 12), "near.csv:7:4");
  EXPECT_EQ(refusals[1].substr(0, 12), "near.csv:9:4");
  EXPECT_EQ(refusals[2].substr(0, 13), "near.csv:10:4");
}

TEST(SharedCases, repeated_positions) {
  SWEEPFLUX_NEED_SHARED(shared);
  std::string toml = test::usual_sections +
                     "[[sweep]]\nfile = \"near.csv\"\ndistance = \"1.5 m\"\n"
                     "[columns]\nacross = \"y_m\"\nheight = \"z_m\"\n";
  toml.replace(toml.find("\"swivel\""), 8, "\"traverse\"");
  const test::WrittenSurvey survey(toml);
  survey.write("near.csv", contents(shared / "cases" / "case-13.csv"));
  const Survey read = survey.read();
  ASSERT_EQ(read.sweeps.size(), 2U);
  EXPECT_EQ(read.sweeps[0].readings.size() + read.sweeps[1].readings.size(), 10U);
}

TEST(SharedCases, sweep_across_180_degrees) {
  SWEEPFLUX_NEED_SHARED(shared);
  const Survey survey = survey_of_case(shared, "16").read();
  const std::vector<Reading>& readings = survey.sweeps.at(0).readings;
  EXPECT_NEAR(readings.front().position / degree_rad, 165.0, 1e-9);
  EXPECT_NEAR(readings.back().position / degree_rad, 195.0, 1e-9);
}

std::vector<std::string> refusals_of(const std::filesystem::path& file) {
  std::vector<std::string> messages;
  try {
    (void)read_survey(file);
  } catch (const SurveyError& error) {
    for (Finding finding : error.findings()) {
      finding.spot.file = "";
      messages.push_back(finding.message());
    }
  }
  return messages;
}

bool has_beginning(const std::vector<std::string>& messages, const std::string& beginning) {
  return std::any_of(messages.begin(), messages.end(), [&beginning](const std::string& message) {
    return message.substr(0, beginning.size()) == beginning;
  });
}

// Their keys are not ours; so the places count, and that one mistake does not hide the next.
TEST(SharedCases, mistakes_in_one_run) {
  SWEEPFLUX_NEED_SHARED(shared);
  const auto twice = refusals_of(shared / "cases" / "case-24.toml");
  EXPECT_TRUE(has_beginning(twice, ":5:12: air.humidity: `45` has no unit"));
  EXPECT_TRUE(has_beginning(twice, ":10:1: distance_m is defined twice (first at 8:1)"));
  const auto spelling = refusals_of(shared / "cases" / "case-25.toml");
  EXPECT_TRUE(has_beginning(spelling, ":3:10: `.05` is no TOML number"));
  EXPECT_TRUE(has_beginning(spelling, ":1:2: unknown section `grid`"));
  EXPECT_TRUE(has_beginning(spelling, ":7:1: unknown key `rig.distnace_m`"));
  EXPECT_TRUE(has_beginning(spelling, ":8:1: unknown key `rig.density`"));
  EXPECT_TRUE(has_beginning(spelling, ":9:1: unknown key `rig.heights_m`"));
}

// One minute of a 20 Hz log, from `usda-ars-ussl/fluxpart` (CC0); the means are its authors'.
TEST(SharedCases, four_heading_rows_of_a_logger) {
  SWEEPFLUX_NEED_SHARED(shared);
  std::vector<ColumnWish> wishes(4);
  const std::vector<std::string> names = {"Ux", "Uy", "Uz", "TIMESTAMP"};
  for (std::size_t i = 0; i < names.size(); ++i) {
    wishes[i].role = names[i];
    wishes[i].required = true;
  }
  wishes[3].kind = ColumnWish::Kind::moment;
  const Table table = read_table(shared / "outside" / "sonic-log" / "sonic_20Hz_60s.dat", wishes);
  ASSERT_TRUE(table.faults.empty()) << table.faults[0].message();
  EXPECT_EQ(table.lines.size(), 1200U);
  EXPECT_TRUE(table.dropped.empty());
  const std::vector<double> means = {1.01769, -0.70844, -0.09201};
  for (std::size_t i = 0; i < means.size(); ++i) {
    EXPECT_EQ(table.columns[i].unit, "m/s");
    double sum = 0.0;
    for (const double value : table.columns[i].values) {
      sum += value;
    }
    EXPECT_NEAR(sum / 1200.0, means[i], 5e-6) << names[i];
  }
  EXPECT_NEAR(table.columns[3].values.back() - table.columns[3].values.front(), 59.95, 1e-3);
}

// Bachant, Wosnik, Gunawan, Neary 2016 (CC-BY-4.0): columns by name among forty others.
TEST(SharedCases, forty_columns) {
  SWEEPFLUX_NEED_SHARED(shared);
  std::vector<ColumnWish> wishes(2);
  wishes[0].role = "y_R";
  wishes[1].role = "mean_u";
  const Table table = read_table(shared / "outside" / "wake-plane" / "Wake-1.0-0.25.csv", wishes);
  ASSERT_TRUE(table.faults.empty()) << table.faults[0].message();
  EXPECT_EQ(table.lines.size(), 43U);
  EXPECT_EQ(table.columns.at(0).values.front(), -2.75);
}

// Senecal 1951, compiled by Trettel (CC-BY-4.0): blanks behind commas, an unnamed last column.
TEST(SharedCases, padded_cells) {
  SWEEPFLUX_NEED_SHARED(shared);
  std::vector<ColumnWish> wishes(2);
  wishes[0].role = "Wall distance";
  wishes[1].role = "Velocity";
  const Table table = read_table(shared / "outside" / "pipe-traverses" / "profiles.csv", wishes);
  ASSERT_TRUE(table.faults.empty()) << table.faults[0].message();
  EXPECT_EQ(table.lines.size(), 396U);
  EXPECT_EQ(table.columns.at(1).values.front(), 1.742);
  EXPECT_EQ(table.columns[1].unit, "ft/s");
}

}  // namespace
}  // namespace sweepflux
