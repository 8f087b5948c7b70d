#include "sweepflux/base/error.hpp"
#include "sweepflux/capture/survey/read_survey.hpp"
#include "tests/capture/written_survey.hpp"

#include <gtest/gtest.h>

#include <filesystem>
#include <random>
#include <string>

namespace sweepflux {
namespace {

using test::survey_of;
using test::usual_sections;
using test::usual_sweep;
using test::WrittenSurvey;

std::string noise(std::size_t size, unsigned seed) {
  std::mt19937 random(seed);
  std::string text(size, '\0');
  for (char& c : text) {
    c = static_cast<char>(random() & 0xFFU);
  }
  return text;
}

TEST(AbsurdInput, an_empty_survey_names_what_it_needs) {
  const auto refusals = WrittenSurvey("").refusals();
  ASSERT_EQ(refusals.size(), 4U);
  EXPECT_EQ(refusals[0], "survey.toml: `probe.kind` is missing");
}

TEST(AbsurdInput, a_folder_in_place_of_the_survey_is_refused) {
  const WrittenSurvey survey("");
  try {
    (void)read_survey(survey.folder());
    FAIL();
  } catch (const SurveyError& error) {
    ASSERT_EQ(error.findings().size(), 1U);
    EXPECT_NE(std::string(error.what()).find("is a folder"), std::string::npos);
  }
  EXPECT_THROW((void)read_survey(survey.folder() / "gone.toml"), SurveyError);
}

TEST(AbsurdInput, a_file_of_which_nothing_can_be_read_is_refused) {
  const std::filesystem::path file = "/proc/self/mem";  // opens, and then fails
  if (!std::filesystem::exists(file)) {
    GTEST_SKIP() << "no " << file;
  }
  try {
    (void)read_survey(file);
    FAIL();
  } catch (const SurveyError& error) {
    ASSERT_EQ(error.findings().size(), 1U);
    EXPECT_NE(std::string(error.what()).find("/proc/self/mem: cannot be read: "), std::string::npos)
        << error.what();
  }
}

TEST(AbsurdInput, binary_and_huge_surveys_are_refused) {
  EXPECT_EQ(WrittenSurvey(noise(10'000, 1)).refusals().size(), 1U);
  EXPECT_EQ(WrittenSurvey(std::string(10'000'000, 'x')).refusals().size(), 1U);
  EXPECT_FALSE(WrittenSurvey(std::string(900'000, '[')).refusals().empty());
  EXPECT_FALSE(WrittenSurvey("a = " + std::string(500'000, '[')).refusals().empty());
  EXPECT_FALSE(WrittenSurvey("a = [\n[[\nb = 1\n").refusals().empty());
}

TEST(AbsurdInput, keys_of_endless_depth_are_refused) {
  std::string deep = "a";
  for (int i = 0; i < 200'000; ++i) {
    deep += ".a";
  }
  const auto refusals = WrittenSurvey(deep + " = 1\n").refusals();
  ASSERT_FALSE(refusals.empty());
  EXPECT_FALSE(WrittenSurvey("[" + deep + "]\n").refusals().empty());
  EXPECT_FALSE(WrittenSurvey("x = {" + deep + " = 1}\n").refusals().empty());
  // Dots in a text are only dots.
  EXPECT_EQ(
      WrittenSurvey("[survey]\ntitle = \"" + std::string(100, '.') + "\"\n").refusals().size(), 4U);
}

TEST(AbsurdInput, absurd_csv_files_are_refused) {
  const std::string heading = "angle [deg],speed [m/s]\n";
  EXPECT_EQ(survey_of("").refusals().size(), 1U);
  EXPECT_EQ(survey_of(noise(10'000, 2)).refusals().size(), 1U);
  EXPECT_EQ(survey_of(std::string(10'000, '\0')).refusals().size(), 1U);
  EXPECT_EQ(survey_of(std::string(10'000'000, 'x')).refusals().size(), 1U);
  EXPECT_EQ(survey_of(std::string(10'000'000, ',')).refusals().size(), 1U);
  EXPECT_EQ(survey_of(std::string(1'000'000, '"')).refusals().size(), 1U);
  EXPECT_EQ(survey_of(heading + std::string(10'000'000, '1')).refusals().size(), 1U);
}

TEST(AbsurdInput, a_monster_line_costs_its_row_only) {
  const Survey survey =
      survey_of("angle [deg],speed [m/s]\n-10,1.5\n" + std::string(3'000'000, '7') + "\n0,2.5\n")
          .read();
  EXPECT_EQ(survey.sweeps.at(0).readings.size(), 2U);
  ASSERT_EQ(survey.sweeps[0].left_out.size(), 1U);
  EXPECT_EQ(survey.sweeps[0].left_out[0].line, 3U);
  EXPECT_NE(survey.sweeps[0].left_out[0].reason.find("too long"), std::string::npos);
}

TEST(AbsurdInput, a_file_name_with_a_nul_is_never_shortened) {
  WrittenSurvey survey(usual_sections +
                       "[[sweep]]\nfile = \"near.csv\\u0000.txt\"\ndistance = \"1 m\"\n"
                       "height = \"1 m\"\n");
  survey.write("near.csv", "angle [deg],speed [m/s]\n-10,1.5\n");
  const auto refusals = survey.refusals();
  ASSERT_EQ(refusals.size(), 1U);
  EXPECT_NE(refusals[0].find("holds a NUL character"), std::string::npos);
}

TEST(AbsurdInput, many_bad_cells_are_counted_not_listed) {
  std::string csv = "angle [deg],speed [m/s]\n";
  for (int i = 0; i < 1000; ++i) {
    csv += std::to_string(i % 20) + ",fast\n";
  }
  const auto refusals = survey_of(csv).refusals();
  ASSERT_EQ(refusals.size(), 4U);
  EXPECT_NE(refusals.back().find("997 more such cells"), std::string::npos);
}

TEST(AbsurdInput, random_changes_of_a_good_survey_never_break_the_reader) {
  const std::string toml = usual_sections + usual_sweep;
  const std::string csv =
      "time,angle [deg],speed [m/s],samples\n13/04/2025 10:00:02,-10,1.5,20\n"
      "13/04/2025 10:00:04,0,2.5,20\n13/04/2025 10:00:06,10,OL,20\n";
  const std::string letters = "\"'[]{}=#,;.\n\r\t 0123456789-+eEm/s%\\\xC2\xB0\xFF";
  std::mt19937 random(7);
  const auto change = [&](std::string text) {
    const std::size_t changes = 1 + random() % 4;
    for (std::size_t i = 0; i < changes; ++i) {
      const std::size_t at = random() % text.size();
      switch (random() % 3) {
        case 0:
          text[at] = letters[random() % letters.size()];
          break;
        case 1:
          text.erase(at, 1 + random() % 5);
          break;
        default:
          text.insert(at, 1, letters[random() % letters.size()]);
      }
    }
    return text;
  };
  std::size_t refused = 0;
  WrittenSurvey survey(toml);
  for (int i = 0; i < 300; ++i) {
    survey.write("survey.toml", i % 2 == 0 ? change(toml) : toml);
    survey.write("near.csv", i % 2 == 0 ? csv : change(csv));
    try {
      (void)survey.read();
    } catch (const SurveyError& error) {
      EXPECT_FALSE(error.findings().empty());
      ++refused;
    }
  }
  EXPECT_GT(refused, 100U);
}

}  // namespace
}  // namespace sweepflux
