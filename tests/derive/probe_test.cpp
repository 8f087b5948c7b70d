#include "sweepflux/derive/sample/probe.hpp"

#include "sweepflux/base/error.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace sweepflux {
namespace {

TEST(Calibration, leaves_speeds_alone_without_a_table) {
  const Calibration none({});
  EXPECT_EQ(none.speed_m_s(1.23), 1.23);
  EXPECT_EQ(none.slope(1.23), 1.0);
}

TEST(Calibration, meets_its_pairs_and_runs_straight_between_and_beyond) {
  const Calibration table({{0.5, 0.52}, {2.0, 1.98}, {5.0, 5.10}});
  EXPECT_NEAR(table.speed_m_s(0.52), 0.5, 1e-15);
  EXPECT_NEAR(table.speed_m_s(1.98), 2.0, 1e-15);
  EXPECT_NEAR(table.speed_m_s(5.10), 5.0, 1e-15);
  EXPECT_NEAR(table.speed_m_s(1.25), 1.25, 1e-12);  // the middle of the first piece
  EXPECT_NEAR(table.speed_m_s(6.14), 6.0, 1e-12);   // one m/s on along the last: 1.04 indicated
  EXPECT_NEAR(table.slope(6.14), 3.0 / 3.12, 1e-12);
}

TEST(Calibration, never_turns_a_shown_speed_into_a_reversal) {
  const Calibration table({{0.2, 0.4}, {1.0, 1.0}});
  EXPECT_EQ(table.speed_m_s(0.0), 0.0);
  EXPECT_LT(table.speed_m_s(-0.5), 0.0);
}

TEST(Calibration, refuses_tables_that_do_not_rise) {
  EXPECT_THROW(Calibration({{1.0, 1.0}}), InputError);
  EXPECT_THROW(Calibration({{1.0, 1.0}, {2.0, 0.9}}), InputError);
  EXPECT_THROW(Calibration({{2.0, 1.0}, {1.0, 2.0}}), InputError);
  EXPECT_THROW(Calibration({{1.0, 1.0}, {1.0, 2.0}}), InputError);
  EXPECT_THROW(Calibration({{1.0, 1.0}, {std::numeric_limits<double>::quiet_NaN(), 2.0}}),
               InputError);
}

TEST(Response, divides_by_the_cosine_only_when_the_probe_has_one) {
  EXPECT_NEAR(yaw_correction(Response::cosine, 0.5), 1.0 / std::cos(0.5), 1e-15);
  EXPECT_NEAR(yaw_correction(Response::cosine, -0.5), 1.0 / std::cos(0.5), 1e-15);
  EXPECT_EQ(yaw_correction(Response::flat, 0.5), 1.0);
}

TEST(StartingSpeed, censors_below_and_forgives_rounding_of_units) {
  Probe probe;
  EXPECT_FALSE(below_start(probe, 0.0));
  probe.starting_speed_m_s = 0.3;
  EXPECT_TRUE(below_start(probe, 0.0));
  EXPECT_TRUE(below_start(probe, 0.299));
  EXPECT_TRUE(below_start(probe, -0.1));
  EXPECT_FALSE(below_start(probe, 0.3 * (1.0 - 1e-12)));
  EXPECT_FALSE(below_start(probe, -0.5));
}

}  // namespace
}  // namespace sweepflux
