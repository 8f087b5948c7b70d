#include "sweepflux/base/combination.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/quantiles.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <numbers>
#include <vector>

namespace sweepflux {
namespace {

// JCGM 100, H.2 (tables H.2 to H.4): voltage, current and phase angle, measured together five
// times, give resistance, reactance and impedance. Figures as printed, from memory.
TEST(propagation, gives_the_guides_example_of_correlated_inputs) {
  constexpr double v = 4.9990, i = 19.6610e-3, phi = 1.04446;
  const std::array<double, 3> u{0.0032, 0.0095e-3, 0.00075};
  Covariance inputs(3);
  for (std::size_t k = 0; k < 3; ++k) {
    inputs.add(k, k, u[k] * u[k]);
  }
  inputs.add(0, 1, -0.36 * u[0] * u[1]);
  inputs.add(0, 2, 0.86 * u[0] * u[2]);
  inputs.add(1, 2, -0.65 * u[1] * u[2]);
  const double z = v / i, r = z * std::cos(phi), x = z * std::sin(phi);
  const std::vector<double> dr{r / v, -r / i, -x}, dx{x / v, -x / i, r}, dz{z / v, -z / i, 0.0};
  const auto uncertainty = [&](const std::vector<double>& s) {
    return std::sqrt(propagated_covariance(s, s, inputs));
  };
  EXPECT_NEAR(r, 127.732, 0.01);
  EXPECT_NEAR(x, 219.847, 0.01);
  // The correlations are printed to two digits: 0.071, 0.295, 0.236 ohm to one in the last place.
  EXPECT_NEAR(uncertainty(dr), 0.071, 0.0015);
  EXPECT_NEAR(uncertainty(dx), 0.295, 0.0015);
  EXPECT_NEAR(uncertainty(dz), 0.236, 0.0015);
  const double r_x = propagated_covariance(dr, dx, inputs) / (uncertainty(dr) * uncertainty(dx));
  const double x_z = propagated_covariance(dx, dz, inputs) / (uncertainty(dx) * uncertainty(dz));
  EXPECT_NEAR(r_x, -0.588, 0.03);
  EXPECT_NEAR(x_z, 0.993, 0.003);
}

// Eleven measurements of the Newtonian constant of gravitation by nine laboratories, in
// 1e-11 m3 kg-1 s-2, with two correlations: Mohr, Taylor, Newell, Rev. Mod. Phys. 84 (2012) 1527,
// table XVII and section XI; 6.673 84(80) after multiplying the uncertainty by 14, chi square 209.6,
// Birge ratio 4.58. From memory; inputs are as printed, so the last digits may differ.
TEST(weighted_mean, gives_the_published_mean_and_birge_ratio_of_an_interlaboratory_example) {
  const std::vector<double> g{6.67248, 6.6729, 6.67398, 6.674255, 6.67559, 6.67422,
                              6.67387, 6.67222, 6.67425, 6.67349, 6.67234};
  const std::vector<double> u{43e-5, 50e-5, 70e-5, 9.2e-5, 27e-5, 98e-5,
                              27e-5, 87e-5, 12e-5, 18e-5, 14e-5};
  Covariance covariance(g.size());
  for (std::size_t k = 0; k < g.size(); ++k) {
    covariance.add(k, k, u[k] * u[k]);
  }
  covariance.add(0, 2, 0.351 * u[0] * u[2]);
  covariance.add(7, 9, 0.234 * u[7] * u[9]);
  const WeightedMean mean = weighted_mean(g, covariance);
  EXPECT_NEAR(mean.value, 6.67384, 3e-5);
  EXPECT_NEAR(14.0 * mean.standard_uncertainty, 80e-5, 1e-5);
  EXPECT_NEAR(mean.chi_square, 209.6, 1.5);
  EXPECT_NEAR(mean.birge_ratio, 4.58, 0.02);
  EXPECT_FALSE(mean.consistent());
}

TEST(weighted_mean, weights_by_inverse_variance_where_nothing_is_shared) {
  Covariance covariance(2);
  covariance.add(0, 0, 1.0);
  covariance.add(1, 1, 4.0);
  const std::vector<double> values{10.0, 15.0};
  const WeightedMean mean = weighted_mean(values, covariance);
  EXPECT_NEAR(mean.value, 11.0, 1e-12);
  EXPECT_NEAR(mean.standard_uncertainty, std::sqrt(0.8), 1e-12);
  EXPECT_NEAR(mean.chi_square, 5.0, 1e-12);  // 25 / (1 + 4)
}

TEST(weighted_mean, refuses_a_covariance_that_is_none) {
  Covariance covariance(2);
  covariance.add(0, 0, 1.0);
  covariance.add(1, 1, 1.0);
  covariance.add(0, 1, 2.0);
  const std::vector<double> values{1.0, 2.0};
  EXPECT_THROW((void)weighted_mean(values, covariance), InputError);
}

TEST(combine, a_shared_error_stays_whole_and_favours_no_low_value) {
  // Two values 1 % own, 10 % in common: averaging takes nothing off the 10 %, and the mean lies
  // between the two, where naive covariances put it below both (the trap of Peelle).
  const std::vector<Contribution> two{{1.5, 0.15, {{"lever", 0.2}}, "a"},
                                      {1.0, 0.10, {{"lever", 0.2}}, "b"}};
  const Combination c = combine(two);
  EXPECT_GT(c.value.value, 1.0);
  EXPECT_LT(c.value.value, 1.5);
  EXPECT_NEAR(c.shared.front().relative, 0.2, 1e-12);
  EXPECT_GT(c.value.standard_uncertainty, 0.2 * c.value.value);
}

TEST(combine, agreeing_values_are_known_better_than_each_and_disagreeing_ones_worse) {
  const std::vector<Contribution> agreeing{{1.00, 0.02, {}, "a"}, {1.01, 0.02, {}, "b"}};
  const Combination good = combine(agreeing);
  EXPECT_FALSE(good.enlarged);
  EXPECT_NEAR(good.value.standard_uncertainty, 0.02 / std::sqrt(2.0), 1e-9);
  const std::vector<Contribution> apart{{1.00, 0.02, {}, "a"}, {1.20, 0.02, {}, "b"}};
  const Combination bad = combine(apart);
  EXPECT_TRUE(bad.enlarged);
  // Half the distance between the two: sqrt(chi square) times the stated uncertainty.
  EXPECT_NEAR(bad.value.standard_uncertainty, 0.10, 1e-9);
}

TEST(chi_square, has_the_tabulated_quantiles) {
  // NIST/SEMATECH handbook, 1.3.6.7.4: 3.841 and 18.307 for 1 and 10 degrees at 0.95.
  EXPECT_NEAR(chi_square_probability(3.841, 1.0), 0.95, 1e-4);
  EXPECT_NEAR(chi_square_probability(18.307, 10.0), 0.95, 1e-4);
  EXPECT_EQ(chi_square_probability(1e-20, 400.0), 0.0);
  EXPECT_THROW((void)chi_square_probability(-1.0, 1.0), InputError);
}

}  // namespace
}  // namespace sweepflux
