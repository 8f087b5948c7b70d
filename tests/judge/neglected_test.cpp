#include "sweepflux/judge/neglected.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace sweepflux {
namespace {

TEST(HeadMomentum, meets_a_quadrature_of_the_blurred_jet) {
  // Disc mean at each radius, squared and summed over the plane by adaptive quadrature in another
  // program (scipy 1.10).
  EXPECT_NEAR(head_momentum_ratio(0.2), 0.98629566611, 1e-10);
  EXPECT_NEAR(head_momentum_ratio(0.5), 0.91925194266, 1e-10);
  EXPECT_NEAR(head_momentum_ratio(0.75), 0.83285920082, 1e-10);
  EXPECT_NEAR(head_momentum_ratio(1.0), 0.73349926638, 1e-10);
}

TEST(HeadMomentum, is_smooth_at_both_ends) {
  EXPECT_EQ(head_momentum_ratio(0.0), 1.0);
  EXPECT_NEAR(head_momentum_ratio(0.00379), head_momentum_ratio(0.00381), 1e-7);
  EXPECT_NEAR(head_momentum_ratio(16.98) / head_momentum_ratio(16.99), 1.0, 5e-3);
  EXPECT_GT(head_momentum_ratio(100.0), 0.0);
}

TEST(Confinement, needs_the_sections_of_the_table) {
  // Allowed loss 1, 2, 5 %: section / x^2 of 7.9, 3.9, 1.5 with k = 0.0795 and 11.8, 5.8, 2.3 with
  // k = 0.119; printed with two digits.
  EXPECT_NEAR(confined_momentum_share(1.0, 7.9).high, 0.99, 1e-4);
  EXPECT_NEAR(confined_momentum_share(1.0, 3.9).high, 0.98, 1e-4);
  EXPECT_NEAR(confined_momentum_share(1.0, 1.5).high, 0.95, 5e-4);
  EXPECT_NEAR(confined_momentum_share(1.0, 11.8).low, 0.99, 1e-4);
  EXPECT_NEAR(confined_momentum_share(1.0, 5.8).low, 0.98, 2e-4);
  EXPECT_NEAR(confined_momentum_share(1.0, 2.3).low, 0.95, 1e-3);
  EXPECT_NEAR(1.0 - confined_momentum_share(2.0, 10.0).high, 0.031, 1e-3);  // 3 to 4.5 % at 2 m
  EXPECT_NEAR(1.0 - confined_momentum_share(2.0, 10.0).low, 0.045, 1e-3);
}

TEST(Lag, meets_the_table_of_the_blurred_profile) {
  // Integral of u^2 after a first-order lag, k = rate * tau / sd, by quadrature.
  EXPECT_NEAR(lag_momentum_ratio(0.05), 0.99875, 1e-5);
  EXPECT_NEAR(lag_momentum_ratio(0.1), 0.99507, 1e-5);
  EXPECT_NEAR(lag_momentum_ratio(0.2), 0.98109, 1e-5);
  EXPECT_NEAR(lag_momentum_ratio(0.3), 0.96002, 1e-5);
  EXPECT_NEAR(lag_momentum_ratio(0.5), 0.90535, 1e-5);
  EXPECT_EQ(lag_momentum_ratio(0.0), 1.0);
  EXPECT_NEAR(lag_momentum_ratio(0.0499), lag_momentum_ratio(0.0501), 1e-4);
}

TEST(RowSpacing, meets_the_table_of_sums_over_even_rows) {
  EXPECT_NEAR(row_spacing_error(0.75), 6e-6, 1e-6);
  EXPECT_NEAR(row_spacing_error(1.0), 0.0016, 1e-4);
  EXPECT_NEAR(row_spacing_error(1.25), 0.021, 1e-3);
  EXPECT_NEAR(row_spacing_error(1.5), 0.084, 1e-3);
  EXPECT_NEAR(row_spacing_error(2.0), 0.34, 0.01);
}

TEST(RowSpacing, is_what_a_sum_over_rows_really_misses) {
  // Rows of a Gaussian at the worst phase, summed here.
  const double spacing = 1.5;
  double on_peak = 0.0;
  for (int k = -20; k <= 20; ++k) {
    on_peak += spacing * std::exp2(-2.0 * std::pow(spacing * k, 2));
  }
  const double exact = std::sqrt(3.14159265358979 / (2.0 * std::log(2.0)));
  EXPECT_NEAR(on_peak / exact - 1.0, row_spacing_error(spacing), 1e-3);
}

TEST(StartingSpeed, costs_what_the_closed_forms_say) {
  // A tenth of the peak: 1 % of a Gaussian's momentum, 3 % of a fat-tailed jet's.
  EXPECT_NEAR(momentum_below_start(0.3, 3.0).low, 0.01, 1e-12);
  EXPECT_NEAR(momentum_below_start(0.3, 3.0).high, 0.0316, 1e-4);
  EXPECT_EQ(momentum_below_start(4.0, 3.0).high, 1.0);
}

}  // namespace
}  // namespace sweepflux
