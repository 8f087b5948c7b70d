// A scale's table of one reading a row: a column of the setting beside a column of the reading.
#include "sweepflux/base/error.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/thrust/scale_log.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <string>

namespace sweepflux {
namespace {

constexpr double table_gram_n = 1e-3 * standard_gravity_m_s2;

ScaleLog reduced_table(const std::string& text,
                       const ScaleOptions& options = {},
                       const LogFormat& format = {}) {
  const std::filesystem::path file = test::scratch_folder() / "table.csv";
  std::ofstream(file, std::ios::binary) << text;
  return reduce_scale_log(file, format, options);
}

TEST(ScaleTable, OfASettingAndAThrustEachIsReadAsReadingsOfATaredScale) {
  ScaleOptions options;
  options.resolution_n = 0.1 * table_gram_n;
  const ScaleLog log = reduced_table("setting,thrust [g]\n1,42.1\n2,88.4\n3,131.0\n", options);
  ASSERT_EQ(log.settings.size(), 3U);
  EXPECT_EQ(log.settings[1].label, "2");
  EXPECT_NEAR(log.settings[1].thrust_n.value, 88.4 * table_gram_n, 1e-12);
  // A lone reading scatters by 1 %; its last digit and that of the zero are rectangles.
  EXPECT_NEAR(log.settings[1].thrust_n.standard_uncertainty,
              std::hypot(0.884, 0.1 * std::sqrt(2.0 / 12.0)) * table_gram_n,
              1e-9);
  EXPECT_EQ(log.settings[1].first_line, 3U);
  EXPECT_TRUE(log.warnings.empty());
}

TEST(ScaleTable, TakesItsZeroRowsOffAsTheyDriftInWordsOfOtherLanguages) {
  const ScaleLog log = reduced_table("Stufe;Schub [g]\naus;0,2\nleise;42,2\nlaut;88,6\naus;0,8\n");
  ASSERT_EQ(log.settings.size(), 2U);
  EXPECT_EQ(log.settings[0].label, "leise");
  EXPECT_NEAR(log.settings[0].thrust_n.value, (42.2 - 0.4) * table_gram_n, 1e-9);
  EXPECT_NEAR(log.settings[1].thrust_n.value, (88.6 - 0.6) * table_gram_n, 1e-9);
  EXPECT_NEAR(log.settings[0].zero_drift_n, 0.6 * table_gram_n, 1e-9);
}

TEST(ScaleTable, RowsOfOneSettingAreRepeats) {
  const ScaleLog log =
      reduced_table("label,force [N]\noff,0\n1,0.50\n1,0.54\n1,0.52\n1,0.48\noff,0\n");
  ASSERT_EQ(log.settings.size(), 1U);
  EXPECT_NEAR(log.settings[0].thrust_n.value, 0.51, 1e-12);
  const double scatter = std::sqrt((0.01 * 0.01 + 0.03 * 0.03 + 0.01 * 0.01 + 0.03 * 0.03) / 3.0);
  EXPECT_NEAR(log.settings[0].thrust_n.standard_uncertainty, scatter / 2.0, 1e-12);
}

TEST(ScaleTable, SettlesNothingAndNeedsNamesOrTimes) {
  const std::string table = "setting,thrust [g]\n1,42.1\n2,88.4\n";
  ScaleOptions options;
  options.settle_s = 3.0;
  EXPECT_THROW((void)reduced_table(table, options), InputError);
  EXPECT_THROW((void)reduced_table("place,thrust [g]\n1,42.1\n2,88.4\n"), SurveyError);
}

TEST(ScaleTable, AStatedSequenceComesBeforeItsLabels) {
  ScaleOptions options;
  options.sequence = {"off", "low", "off"};
  const ScaleLog log = reduced_table("setting,reading [g]\na,1\nb,43\nc,1\n", options);
  ASSERT_EQ(log.settings.size(), 1U);
  EXPECT_EQ(log.settings[0].label, "low");
  EXPECT_NEAR(log.settings[0].thrust_n.value, 42.0 * table_gram_n, 1e-9);
}

}  // namespace
}  // namespace sweepflux
