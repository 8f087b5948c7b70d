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

// JCGM 100, H.2: voltage [V], current [mA] and phase angle [rad], measured together five times
// (table H.2), give resistance, reactance and impedance (table H.4). Readings and results looked up
// in the test data of Suncal (Sandia National Laboratories, test_GUMH2), which quotes both tables;
// the correlations of the results are from memory.
TEST(propagation, gives_the_guides_example_of_correlated_inputs) {
  constexpr std::array<std::array<double, 3>, 5> table{{{5.007, 19.663, 1.0456},
                                                        {4.994, 19.639, 1.0438},
                                                        {5.005, 19.640, 1.0468},
                                                        {4.990, 19.685, 1.0428},
                                                        {4.999, 19.678, 1.0433}}};
  std::array<double, 3> mean{};
  for (const auto& row : table) {
    for (std::size_t j = 0; j < 3; ++j) {
      mean[j] += row[j] / 5.0;
    }
  }
  Covariance inputs(3);  // of the means: over n (n - 1) [JCGM 100, 5.2.3]
  for (const auto& row : table) {
    for (std::size_t j = 0; j < 3; ++j) {
      for (std::size_t k = j; k < 3; ++k) {
        inputs.add(j, k, (row[j] - mean[j]) * (row[k] - mean[k]) / 20.0);
      }
    }
  }
  const double v = mean[0], i = mean[1], phi = mean[2];
  const double z = 1e3 * v / i, r = z * std::cos(phi), x = z * std::sin(phi);
  const std::vector<double> dr{r / v, -r / i, -x}, dx{x / v, -x / i, r}, dz{z / v, -z / i, 0.0};
  const auto uncertainty = [&](const std::vector<double>& s) {
    return std::sqrt(propagated_covariance(s, s, inputs));
  };
  const auto correlation = [&](const std::vector<double>& a, const std::vector<double>& b) {
    return propagated_covariance(a, b, inputs) / (uncertainty(a) * uncertainty(b));
  };
  // Half of the last digit printed, but for one: the guide prints 0.295 where its readings give 0.2956.
  EXPECT_NEAR(r, 127.732, 5e-4);
  EXPECT_NEAR(x, 219.847, 5e-4);
  EXPECT_NEAR(z, 254.260, 5e-4);
  EXPECT_NEAR(uncertainty(dr), 0.071, 5e-4);
  EXPECT_NEAR(uncertainty(dx), 0.295, 1e-3);
  EXPECT_NEAR(uncertainty(dz), 0.236, 5e-4);
  EXPECT_NEAR(correlation(dr, dx), -0.588, 5e-4);
  EXPECT_NEAR(correlation(dr, dz), -0.485, 5e-4);
  EXPECT_NEAR(correlation(dx, dz), 0.993, 5e-4);
}

/// Values that share nothing.
WeightedMean independent_mean(const std::vector<double>& values, const std::vector<double>& u) {
  Covariance covariance(values.size());
  for (std::size_t k = 0; k < values.size(); ++k) {
    covariance.add(k, k, u[k] * u[k]);
  }
  return weighted_mean(values, covariance);
}

// The sixteen measurements of the Newtonian constant of gravitation that the 2022 adjustment rests
// on, in 1e-11 m3 kg-1 s-2 [CODATA 2022]: 6.674 30(15) after multiplying uncertainties by 3.9. Values
// and chi square (its few correlations left out) as in the tests of metafor 4, test_misc_q-test.
TEST(weighted_mean, gives_the_mean_and_chi_square_of_measurements_of_gravitation) {
  const WeightedMean mean = independent_mean(
      {6.67248, 6.6729,  6.67398, 6.674255, 6.67559, 6.67422,  6.67387,  6.67222,
       6.67425, 6.67349, 6.67554, 6.67191,  6.67435, 6.674184, 6.674484, 6.67260},
      {43e-5, 50e-5, 70e-5, 9.2e-5, 27e-5, 98e-5, 27e-5, 87e-5,
       12e-5, 18e-5, 16e-5, 99e-5, 13e-5, 7.8e-5, 7.7e-5, 25e-5});
  EXPECT_NEAR(mean.value, 6.67430, 1.5e-5);
  EXPECT_NEAR(3.9 * mean.standard_uncertainty, 15e-5, 0.5e-5);
  EXPECT_NEAR(mean.chi_square, 197.8399, 5e-4);
  EXPECT_NEAR(mean.birge_ratio, std::sqrt(197.8399 / 15.0), 1e-5);
  EXPECT_FALSE(mean.consistent());
}

// Measurements of the Planck constant in 1e-34 J s that agree, with the chance of so large a chi
// square: from the same tests of metafor 4.
TEST(weighted_mean, gives_the_chance_of_measurements_of_the_planck_constant) {
  const WeightedMean three =
      independent_mean({6.626070133, 6.62607005883, 6.626069934}, {6e-8, 16.5e-8, 8.9e-8});
  EXPECT_NEAR(three.chi_square, 3.442127, 1e-4);
  EXPECT_NEAR(three.chance, 0.1788758, 1e-5);
  const WeightedMean all = independent_mean(
      {6.626073,    6.6260658,  6.6260684,  6.6260682,  6.626067,    6.626071,
       6.62606891,  6.62606989, 6.6260691,  6.6260712,  6.62607015,  6.6260688,
       6.62606936,  6.626070133, 6.62607041, 6.626070059, 6.6260692, 6.626070404},
      {6.7e-6, 8.8e-6, 3.6e-6, 1.3e-6, 4.2e-6, 1.1e-5, 5.8e-7, 2e-7,  2e-6,
       1.3e-6, 1.3e-7, 1.7e-6, 3.8e-7, 6e-8,   3.8e-7, 1.65e-7, 1.6e-6, 7.92e-8});
  EXPECT_NEAR(all.chi_square, 26.63226, 1e-4);
  EXPECT_NEAR(all.chance, 0.06368617, 1e-6);
  EXPECT_TRUE(all.consistent());
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

TEST(combine, says_where_a_combined_value_lies_outside_of_its_parts) {
  // Two values by one meter, the second with thrice its error [JCGM 100, F.1.2]: by hand the best
  // weights are 1.39 and -0.39.
  Covariance covariance(2);
  covariance.add(0, 0, 0.01 * 0.01 + 0.02 * 0.02);
  covariance.add(1, 1, 0.01 * 0.01 + 0.06 * 0.06);
  covariance.add(0, 1, 0.02 * 0.06);
  const std::vector<double> values{1.00, 0.95};
  const WeightedMean mean = weighted_mean(values, covariance);
  EXPECT_NEAR(mean.weights[0], (0.0037 - 0.0012) / (0.0005 + 0.0037 - 0.0024), 1e-9);
  EXPECT_GT(mean.value, 1.0);
  EXPECT_NE(outside_parts_words(mean.value, values).find("lies above each of its parts"),
            std::string::npos);
  EXPECT_NE(outside_parts_words(0.9, values).find("lies below each of its parts"),
            std::string::npos);
  EXPECT_EQ(outside_parts_words(0.97, values), "");
  EXPECT_EQ(outside_parts_words(0.97, std::vector<double>{1.0}), "");
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
