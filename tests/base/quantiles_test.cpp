#include "sweepflux/base/quantiles.hpp"

#include "sweepflux/base/error.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <numbers>

namespace sweepflux {
namespace {

TEST(Quantiles, NormalOnesInvertTheDistribution) {
  EXPECT_NEAR(normal_quantile(0.975), 1.959963984540054, 1e-14);
  EXPECT_NEAR(normal_quantile(0.5), 0.0, 1e-15);
  for (const double p : {1e-12, 1e-3, 0.2, 0.8, 0.9999}) {
    EXPECT_NEAR(normal_probability(normal_quantile(p)) / p, 1.0, 1e-12);
  }
}

TEST(Quantiles, StudentsTMeetsItsClosedForms) {
  // One degree of freedom is Cauchy's distribution, two has a root: exact values.
  for (const double p : {0.6, 0.9, 0.975, 0.995}) {
    EXPECT_NEAR(student_t_quantile(p, 1.0) / std::tan(std::numbers::pi * (p - 0.5)), 1.0, 1e-12);
    const double a = 2.0 * p - 1.0;
    EXPECT_NEAR(student_t_quantile(p, 2.0) / (a * std::sqrt(2.0 / (1.0 - a * a))), 1.0, 1e-12);
  }
}

TEST(Quantiles, StudentsTMeetsTheTableOfTheGuide) {
  // JCGM 100:2008, table G.2, 95 %: degrees 4, 10, 30, infinite; and t99(16) of example H.1.
  EXPECT_NEAR(student_t_quantile(0.975, 4.0), 2.78, 0.005);
  EXPECT_NEAR(student_t_quantile(0.975, 10.0), 2.23, 0.005);
  EXPECT_NEAR(student_t_quantile(0.975, 30.0), 2.04, 0.005);
  EXPECT_NEAR(student_t_quantile(0.975, 1e7), 1.960, 0.0005);
  EXPECT_NEAR(student_t_quantile(0.995, 16.0), 2.92, 0.005);
  EXPECT_NEAR(student_t_quantile(0.025, 4.0), -student_t_quantile(0.975, 4.0), 1e-13);
}

TEST(Quantiles, RefusesSharesThatAreNone) {
  EXPECT_THROW((void)normal_quantile(0.0), InputError);
  EXPECT_THROW((void)student_t_quantile(1.0, 3.0), InputError);
  EXPECT_THROW((void)student_t_quantile(0.9, 0.0), InputError);
}

TEST(Student, meets_the_quantiles_of_an_independent_program) {
  // scipy 1.10, stats.t.ppf(0.975, freedom)
  EXPECT_NEAR(student_95(1.0), 12.706204736432095, 1e-8);
  EXPECT_NEAR(student_95(1.5), 6.016663107990447, 1e-8);
  EXPECT_NEAR(student_95(2.0), 4.302652729911275, 1e-9);
  EXPECT_NEAR(student_95(9.5), 2.244137461457777, 1e-9);
  EXPECT_NEAR(student_95(16.75), 2.1122169023149744, 1e-9);
  EXPECT_NEAR(student_95(1000.0), 1.9623390808264074, 1e-9);
}

TEST(Student, becomes_the_normal_for_many_degrees_of_freedom) {
  EXPECT_NEAR(student_95(std::numeric_limits<double>::infinity()), 1.959963984540054, 1e-12);
  EXPECT_NEAR(student_95(999999.0), student_95(1000001.0), 1e-5);
}

TEST(Student, needs_one_degree_of_freedom) {
  EXPECT_THROW(static_cast<void>(student_95(0.5)), InputError);
  EXPECT_THROW(static_cast<void>(student_95(std::numeric_limits<double>::quiet_NaN())), InputError);
}

TEST(Student, shares_of_the_normal_are_symmetric) {
  EXPECT_NEAR(normal_probability(1.959963984540054), 0.975, 1e-12);
  EXPECT_NEAR(normal_probability(-1.0) + normal_probability(1.0), 1.0, 1e-15);
}

}  // namespace
}  // namespace sweepflux
