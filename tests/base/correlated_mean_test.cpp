#include "sweepflux/base/correlated_mean.hpp"

#include "sweepflux/base/statistics.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <vector>

namespace sweepflux {
namespace {

/// An exponentially correlated series of unit variance; time in steps.
std::vector<double> correlated_series(std::size_t n, double time, std::mt19937_64& random) {
  std::normal_distribution<double> normal;
  const double r = std::exp(-1.0 / time);
  std::vector<double> values(n);
  double value = normal(random);
  for (double& v : values) {
    v = value;
    value = r * value + std::sqrt(1.0 - r * r) * normal(random);
  }
  return values;
}

double coverage(std::size_t n, double time_over_stretch, int dwells) {
  std::mt19937_64 random(20240000 + n + static_cast<std::size_t>(1e4 * time_over_stretch));
  int held = 0;
  for (int i = 0; i < dwells; ++i) {
    const auto values = correlated_series(n, time_over_stretch * static_cast<double>(n), random);
    const double error = std::abs(mean(values));
    held += error <= 1.96 * standard_error_of_mean(values) ? 1 : 0;
  }
  return held / static_cast<double>(dwells);
}

TEST(CorrelatedMean, VarianceOfTheMeanFollowsTheClosedForm) {
  // [Lumley 1964], integrated exactly: t/T = 1, 5, 10, 50, 100.
  EXPECT_NEAR(exponential_mean_variance(1.0), 0.7358, 5e-5);
  EXPECT_NEAR(exponential_mean_variance(0.2), 0.3205, 5e-5);
  EXPECT_NEAR(exponential_mean_variance(0.1), 0.1800, 5e-5);
  EXPECT_NEAR(exponential_mean_variance(0.02), 0.0392, 5e-5);
  EXPECT_NEAR(exponential_mean_variance(0.01), 0.0198, 5e-5);
  EXPECT_NEAR(exponential_mean_variance(1e7), 1.0, 1e-7);
  for (const double theta : {1e-4, 0.01, 0.3, 2.0, 40.0}) {
    EXPECT_NEAR(
        exponential_time_of_variance(exponential_mean_variance(theta)), theta, 1e-9 * theta);
  }
}

TEST(CorrelatedMean, IntegralTimeIsFoundAgainInALongSeries) {
  std::mt19937_64 random(7);
  const auto values = correlated_series(40000, 12.0, random);
  const SeriesCorrelation found = series_correlation(values);
  EXPECT_NEAR(found.integral_time, 12.0, 1.5);
  EXPECT_NEAR(found.effective_samples, 40000.0 / 24.0, 220.0);
}

TEST(CorrelatedMean, AQuarterHourOfAnOutdoorRecordIsWorthAboutFiftyFourValues) {
  // A sonic record of 18 000 rows at 20 Hz with an integral time of 8.3 s: about 54 independent
  // values, standard error 0.119 where the naive one is 0.0065 (usda-ars-ussl/fluxpart, CC0).
  const double share = exponential_mean_variance(8.3 / 900.0);
  EXPECT_NEAR(1.0 / share, 54.0, 1.0);
  EXPECT_NEAR(0.0065 * std::sqrt(18000.0 * share), 0.119, 0.002);
  std::mt19937_64 random(20);
  std::vector<double> worth;
  for (int i = 0; i < 15; ++i) {
    worth.push_back(series_correlation(correlated_series(18000, 166.0, random)).effective_samples);
  }
  EXPECT_NEAR(median(worth), 54.0, 12.0);
}

TEST(CorrelatedMean, IndependentValuesCountAlmostOneEach) {
  std::mt19937_64 random(11);
  std::vector<double> found;
  for (int i = 0; i < 50; ++i) {
    found.push_back(series_correlation(correlated_series(1000, 1e-9, random)).effective_samples);
  }
  EXPECT_GT(median(found), 850.0);
}

TEST(CorrelatedMean, StandardErrorMeetsTheClosedFormOnLongStretches) {
  std::mt19937_64 random(3);
  for (const double theta : {0.003, 0.01, 0.02}) {
    std::vector<double> errors(300);
    for (double& error : errors) {
      error = standard_error_of_mean(correlated_series(2000, theta * 2000.0, random));
    }
    const double expected = std::sqrt(exponential_mean_variance(theta));
    // A little above 1: Student's t and the uncertainty of the correlation time are in it.
    EXPECT_GT(median(errors) / expected, 0.93) << theta;
    EXPECT_LT(median(errors) / expected, 1.2) << theta;
  }
}

TEST(CorrelatedMean, IntervalHoldsTheTrueMeanAsOftenAsItSaysUpToTimesNearTheDwell) {
  for (const double theta : {0.002, 0.01, 0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 1.0}) {
    const double held = coverage(320, theta, 1000);
    EXPECT_GE(held, 0.93) << "T/t = " << theta;
    EXPECT_LE(held, 0.97) << "T/t = " << theta;
  }
}

TEST(CorrelatedMean, IntervalHoldsForOtherNumbersOfSamples) {
  for (const std::size_t n : {30U, 60U, 100U, 1000U}) {
    for (const double theta : {0.05, 0.2, 0.6}) {
      const double held = coverage(n, theta, 1000);
      EXPECT_GE(held, 0.92) << "n = " << n << ", T/t = " << theta;
      EXPECT_LE(held, 0.98) << "n = " << n << ", T/t = " << theta;
    }
  }
}

TEST(CorrelatedMean, SeriesOfOneKindLendEachOtherTheirTime) {
  for (const double theta : {0.02, 0.1, 0.4}) {
    std::mt19937_64 random(77);
    int held = 0;
    int all = 0;
    double alone = 0.0;
    double pooled = 0.0;
    for (int sweep = 0; sweep < 30; ++sweep) {
      std::vector<MeanEvidence> evidence;
      std::vector<double> errors;
      for (int i = 0; i < 40; ++i) {
        // Times of the dwells of a sweep differ, here by a factor of up to two.
        const double own = theta * std::exp(0.35 * std::sin(0.2 * i));
        const auto values = correlated_series(320, 320.0 * own, random);
        evidence.push_back(mean_evidence(values));
        errors.push_back(std::abs(mean(values)));
      }
      const CorrelationPrior prior = pooled_correlation_prior(evidence);
      for (std::size_t i = 0; i < evidence.size(); ++i) {
        const double se = standard_error_of_mean(evidence[i], prior);
        held += errors[i] <= 1.96 * se ? 1 : 0;
        ++all;
        pooled += se * se;
        alone += std::pow(standard_error_of_mean(evidence[i], correlation_prior()), 2);
      }
    }
    EXPECT_GE(held / static_cast<double>(all), 0.93) << theta;
    // Near the dwell's own length the pool cannot exclude still longer times: wide, not wrong.
    EXPECT_LE(held / static_cast<double>(all), theta < 0.3 ? 0.975 : 0.995) << theta;
    EXPECT_LT(pooled, alone) << theta;
  }
}

/// Coverage over a thousand dwells of one sweep, judged together.
double pooled_coverage(std::size_t n, double time_over_stretch) {
  std::mt19937_64 random(99);
  std::vector<MeanEvidence> evidence;
  std::vector<double> errors;
  for (int i = 0; i < 1000; ++i) {
    const auto values = correlated_series(n, time_over_stretch * static_cast<double>(n), random);
    evidence.push_back(mean_evidence(values));
    errors.push_back(std::abs(mean(values)));
  }
  const CorrelationPrior prior = pooled_correlation_prior(evidence);
  int held = 0;
  for (std::size_t i = 0; i < evidence.size(); ++i) {
    held += errors[i] <= 1.96 * standard_error_of_mean(evidence[i], prior) ? 1 : 0;
  }
  return held / 1000.0;
}

TEST(CorrelatedMean, AThousandDwellsOfASweepHoldTheMeanAsOftenAsTheySay) {
  for (const double theta : {0.01, 0.1, 0.3, 0.6, 1.0}) {
    const double held = pooled_coverage(320, theta);
    EXPECT_GE(held, 0.93) << "T/t = " << theta;
    EXPECT_LE(held, 0.97) << "T/t = " << theta;
  }
}

TEST(CorrelatedMean, DwellsOfFewCorrelatedValuesHoldItToo) {
  for (const std::size_t n : {10U, 16U, 30U}) {
    for (const double theta : {0.02, 0.1, 0.3, 0.6}) {
      const double held = pooled_coverage(n, theta);
      EXPECT_GE(held, 0.93) << "n = " << n << ", T/t = " << theta;
      EXPECT_LE(held, 0.98) << "n = " << n << ", T/t = " << theta;
    }
  }
}

TEST(CorrelatedMean, ConstantSeriesHasNoErrorOfItsOwn) {
  const std::vector<double> flat(50, 2.5);
  EXPECT_EQ(standard_error_of_mean(flat), 0.0);
  EXPECT_EQ(series_correlation(flat).effective_samples, 1.0);
}

TEST(CorrelatedMean, FewValuesThatAreAllCorrelatedAreNotTakenForSure) {
  EXPECT_GE(coverage(10, 0.1, 2000), 0.9);
  EXPECT_GE(coverage(10, 0.02, 2000), 0.94);
}

TEST(CorrelatedMean, ScalesWithTheValues) {
  std::mt19937_64 random(5);
  auto values = correlated_series(36, 3.0, random);
  const double se = standard_error_of_mean(values);
  for (double& v : values) {
    v = 1e4 * v + 3e6;
  }
  EXPECT_NEAR(standard_error_of_mean(values), 1e4 * se, 1e-2 * se);
}

}  // namespace
}  // namespace sweepflux
