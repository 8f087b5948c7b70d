#include "sweepflux/record/tables.hpp"

#include "tests/support/made_result.hpp"

#include <gtest/gtest.h>

#include <limits>
#include <sstream>

namespace sweepflux {
namespace {

std::vector<std::vector<std::string>> rows_of(const std::string& text) {
  std::vector<std::vector<std::string>> rows;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) {
    rows.emplace_back();
    std::string cell;
    for (const char c : line + ",") {
      if (c == ',') {
        rows.back().push_back(cell);
        cell.clear();
      } else {
        cell += c;
      }
    }
  }
  return rows;
}

std::string cell(const std::vector<std::vector<std::string>>& rows,
                 std::size_t row,
                 const std::string& column) {
  for (std::size_t i = 0; i < rows[0].size(); ++i) {
    if (rows[0][i] == column) {
      return rows[row][i];
    }
  }
  return "no such column";
}

TEST(PlanesCsv, HasARowForEachPlaneAndAHeadingForEachCell) {
  const auto rows = rows_of(planes_csv(test::made_result()));
  ASSERT_EQ(rows.size(), 3u);
  EXPECT_EQ(rows[1].size(), rows[0].size());
  EXPECT_EQ(rows[2].size(), rows[0].size());
  EXPECT_EQ(cell(rows, 1, "distance_m"), "1.5");
  EXPECT_EQ(cell(rows, 2, "distance_m"), "2.25");
  EXPECT_EQ(cell(rows, 1, "momentum_flux_n"), "0.91");
  EXPECT_EQ(cell(rows, 1, "momentum_flux_low_95_n"), "0.85");
  EXPECT_EQ(cell(rows, 1, "kinetic_power_w"), "1.6");
  EXPECT_EQ(cell(rows, 1, "volume_flow_share_extrapolated"), "0.21");
  EXPECT_EQ(cell(rows, 1, "censored"), "12");
  EXPECT_EQ(cell(rows, 1, "half_width_z_m"), "0.17");
  EXPECT_EQ(cell(rows, 2, "momentum_to_thrust"), "0.9");
  EXPECT_EQ(cell(rows, 1, "agrees"), "yes");
  EXPECT_EQ(cell(rows, 2, "agrees"), "no");
}

TEST(PlanesCsv, LeavesCellsEmptyForWhatIsNotKnown) {
  SurveyResult result = test::made_result();
  result.cross_check.clear();
  result.planes[0].half_width_y_m = std::numeric_limits<double>::quiet_NaN();
  const auto rows = rows_of(planes_csv(result));
  EXPECT_EQ(rows[1].size(), rows[0].size());
  EXPECT_EQ(cell(rows, 1, "half_width_y_m"), "");
  EXPECT_EQ(cell(rows, 1, "momentum_to_thrust"), "");
  EXPECT_EQ(cell(rows, 1, "agrees"), "");
}

TEST(PlaneCsv, WritesTheMapAlongYThenUp) {
  const PlaneMap map{-0.1, 0.8, 0.1, 2, 2, {1.25, 2, 3, 4}, {0.1, 0.2, 0.3, 0.4}, {0, 1, 0.5, 1}};
  EXPECT_EQ(plane_csv(map),
            "y_m,z_m,speed_m_s,speed_uncertainty_m_s,support\n"
            "-0.1,0.8,1.25,0.1,0\n"
            "0,0.8,2,0.2,1\n"
            "-0.1,0.9,3,0.3,0.5\n"
            "0,0.9,4,0.4,1\n");
}

TEST(PlaneCsv, RefusesAMapThatIsNotWhole) {
  PlaneMap map{0, 0, 0.1, 2, 2, {1, 2, 3}, {1, 2, 3, 4}, {1, 1, 1, 1}};
  EXPECT_THROW(static_cast<void>(plane_csv(map)), InputError);
}

TEST(DistanceText, IsTheShortestDecimalForm) {
  EXPECT_EQ(distance_text(1.5), "1.5");
  EXPECT_EQ(distance_text(2.0), "2");
  EXPECT_EQ(distance_text(0.85), "0.85");
  EXPECT_EQ(distance_text(10.0), "10");
  EXPECT_EQ(distance_text(0.1 + 0.2), "0.3");
  EXPECT_EQ(distance_text(5.0 * 0.3048), "1.524");
  EXPECT_EQ(distance_text(1e-7), "0");
}

}  // namespace
}  // namespace sweepflux
