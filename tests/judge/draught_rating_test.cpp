#include "sweepflux/rank/draught_rating.hpp"

#include "sweepflux/base/error.hpp"

#include <gtest/gtest.h>

namespace sweepflux {
namespace {

// ISO 7730:2005, table A.5 (offices): the maximum mean air speed of categories A, B and C, by
// draught ratings of 10, 20 and 30 % at a turbulence intensity of 40 %, at the lower end of the
// operative temperature's range. From memory.
struct TableRow {
  double temperature_c;
  double speed_m_s;
  double percent;
};

TEST(draught_rating, gives_the_standards_own_speeds) {
  for (const TableRow& row : {TableRow{23.5, 0.12, 10.0},  // summer, A: 24.5 +- 1.0
                              {23.0, 0.19, 20.0},          // B: 24.5 +- 1.5
                              {22.0, 0.24, 30.0},          // C: 24.5 +- 2.5
                              {21.0, 0.10, 10.0},          // winter, A: 22.0 +- 1.0
                              {20.0, 0.16, 20.0},          // B: 22.0 +- 2.0
                              {19.0, 0.21, 30.0}}) {       // C: 22.0 +- 3.0
    // The table's speed is the largest, in steps of 0.01 m/s, that keeps to the category.
    EXPECT_LE(draught_rating_percent(row.temperature_c, row.speed_m_s, usual_turbulence),
              row.percent + 0.5);
    EXPECT_GT(draught_rating_percent(row.temperature_c, row.speed_m_s + 0.01, usual_turbulence),
              row.percent);
  }
}

TEST(draught_rating, keeps_to_its_ends_and_rises_with_speed_turbulence_and_cold) {
  EXPECT_EQ(draught_rating_percent(22.0, 0.05, 0.4), 0.0);
  EXPECT_EQ(draught_rating_percent(34.5, 1.0, 0.4), 0.0);
  EXPECT_EQ(draught_rating_percent(15.0, 3.0, 0.6), 100.0);
  EXPECT_GT(draught_rating_percent(22.0, 0.2, 0.6), draught_rating_percent(22.0, 0.2, 0.2));
  EXPECT_GT(draught_rating_percent(20.0, 0.2, 0.4), draught_rating_percent(24.0, 0.2, 0.4));
  EXPECT_THROW((void)draught_rating_percent(22.0, -0.1, 0.4), InputError);
  EXPECT_TRUE(draught_rating_holds(22.0, 0.2, 0.4));
  EXPECT_FALSE(draught_rating_holds(22.0, 0.8, 0.4));
  EXPECT_FALSE(draught_rating_holds(28.0, 0.2, 0.4));
}

}  // namespace
}  // namespace sweepflux
