#include "sweepflux/derive/thrust/thrust.hpp"

#include "sweepflux/base/error.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

namespace sweepflux {
namespace {

constexpr double gram_force_n = 9.80665e-3;
constexpr double ounce_force_n = 0.45359237 / 16.0 * 9.80665;

Balance steady(std::vector<double> readings_n) {
  Balance balance;
  balance.readings_n = std::move(readings_n);
  balance.zero_given = true;
  return balance;
}

TEST(Thrust, turns_grams_into_newtons_by_standard_gravity) {
  // CGPM 1901: 100 gf = 0.980665 N.
  const Thrust thrust = derive_thrust(steady({100 * gram_force_n, 100 * gram_force_n}));
  EXPECT_NEAR(thrust.thrust_n.value, 0.980665, 1e-12);
}

TEST(Thrust, takes_a_drifting_zero_off_in_a_straight_line) {
  // Readings in grams and ounces, even in time between zeros of 0.3 g and 1.5 g: 0.60260 N, and a
  // drift of 2 % of the thrust.
  Balance balance = steady({62.1 * gram_force_n,
                            62.4 * gram_force_n,
                            62.2 * gram_force_n,
                            2.2 * ounce_force_n,
                            2.21 * ounce_force_n,
                            2.2 * ounce_force_n});
  balance.zero_before_n = 0.3 * gram_force_n;
  balance.zero_after_n = 1.5 * gram_force_n;
  const Thrust thrust = derive_thrust(balance);
  EXPECT_NEAR(thrust.thrust_n.value, 0.60260, 5e-6);
  EXPECT_NEAR(thrust.zero_drift_n, 1.2 * gram_force_n, 1e-12);
  ASSERT_FALSE(thrust.remarks.empty());
  EXPECT_NE(thrust.remarks.front().find("2 % of the thrust"), std::string::npos)
      << thrust.remarks.front();
}

TEST(Thrust, sees_no_scatter_in_readings_that_follow_the_zero) {
  Balance balance = steady({1.01, 1.02, 1.03});
  balance.zero_after_n = 0.04;
  const Thrust thrust = derive_thrust(balance);
  EXPECT_NEAR(thrust.thrust_n.value, 1.0, 1e-12);
  EXPECT_NEAR(thrust.thrust_n.standard_uncertainty, 0.04 / std::sqrt(12.0), 1e-9);
}

TEST(Thrust, widens_few_readings_by_student) {
  // Three readings, scatter alone: t = 4.3027 for two degrees of freedom [JCGM 100, table G.2].
  const Thrust few = derive_thrust(steady({0.98, 1.00, 1.02}));
  const double u = 0.02 / std::sqrt(3.0);
  EXPECT_NEAR(few.thrust_n.standard_uncertainty, u, 1e-12);
  EXPECT_NEAR(few.thrust_n.high_95 - few.thrust_n.value, 4.3027 * u, 1e-5);
  EXPECT_NEAR(few.thrust_n.value - few.thrust_n.low_95, 4.3027 * u, 1e-5);
}

TEST(Thrust, counts_the_step_of_the_scale) {
  // A 1 g step: 0.29 gf for a reading, 0.29 / sqrt 2 for the mean of two zeros.
  Balance balance = steady({0.5, 0.5, 0.5});
  balance.resolution_n = gram_force_n;
  const double step = gram_force_n / std::sqrt(12.0);
  EXPECT_NEAR(derive_thrust(balance).thrust_n.standard_uncertainty, step * std::sqrt(1.5), 1e-12);
  balance.zero_given = false;
  EXPECT_NEAR(derive_thrust(balance).thrust_n.standard_uncertainty, step * std::sqrt(2.0), 1e-12);
}

TEST(Thrust, undoes_the_lever_and_adds_its_uncertainty) {
  Balance balance = steady({1.0, 1.0});
  balance.lever_ratio = 2.0;
  balance.lever_ratio_uncertainty = 0.01;
  const Thrust thrust = derive_thrust(balance);
  EXPECT_NEAR(thrust.thrust_n.value, 0.5, 1e-12);
  EXPECT_NEAR(thrust.thrust_n.standard_uncertainty, 0.005, 1e-12);
}

TEST(Thrust, says_that_one_reading_tells_no_scatter) {
  const Thrust thrust = derive_thrust(steady({1.0}));
  EXPECT_NEAR(thrust.thrust_n.standard_uncertainty, 0.01, 1e-12);
  EXPECT_NE(thrust.remarks.back().find("one reading only"), std::string::npos);
}

TEST(Thrust, refuses_a_zero_that_ran_away) {
  Balance balance = steady({1.0, 1.0});
  balance.zero_after_n = 0.094;  // 9.9 % of the 0.953 N that are left
  EXPECT_NEAR(derive_thrust(balance).thrust_n.value, 0.953, 1e-12);
  balance.zero_after_n = 0.096;  // 10.1 %
  EXPECT_THROW(static_cast<void>(derive_thrust(balance)), InputError);
  balance.zero_after_n = -0.106;
  EXPECT_THROW(static_cast<void>(derive_thrust(balance)), InputError);
}

TEST(Thrust, refuses_what_cannot_be_weighed) {
  EXPECT_THROW(static_cast<void>(derive_thrust(steady({}))), InputError);
  EXPECT_THROW(static_cast<void>(derive_thrust(steady({-0.5, -0.5}))), InputError);
  Balance balance = steady({1.0});
  balance.lever_ratio = 0.0;
  EXPECT_THROW(static_cast<void>(derive_thrust(balance)), InputError);
  balance = steady({1.0});
  balance.gravity_m_s2 = 980.665;  // cm/s2
  EXPECT_THROW(static_cast<void>(derive_thrust(balance)), InputError);
}

}  // namespace
}  // namespace sweepflux
