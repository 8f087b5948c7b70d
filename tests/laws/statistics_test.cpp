#include "tests/support/statistics.hpp"

#include "tests/support/dice.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace sweepflux::test {
namespace {

TEST(Statistics, TakeQuantilesLinearlyBetweenOrderStatistics) {
  EXPECT_EQ(median({3.0, 1.0, 2.0}), 2.0);
  EXPECT_EQ(median({4.0, 1.0, 2.0, 3.0}), 2.5);
  EXPECT_NEAR(quantile({0.0, 10.0}, 0.9), 9.0, 1e-12);
  EXPECT_EQ(quantile({7.0}, 0.9), 7.0);
  EXPECT_TRUE(std::isnan(median({})));
}

TEST(Statistics, ScoreAnIntervalByWidthAndByHowFarItMisses) {
  EXPECT_NEAR(interval_score(-1.0, 1.0, 0.5), 2.0, 1e-12);
  EXPECT_NEAR(interval_score(-1.0, 1.0, 1.1), 2.0 + 40.0 * 0.1, 1e-12);
  EXPECT_NEAR(interval_score(-1.0, 1.0, -2.0), 2.0 + 40.0, 1e-12);
}

// For Normal errors the interval of +-1.96 standard deviations has the least expected score of all
// symmetric ones: 2 * 1.96 + 80 (pdf(1.96) - 1.96 * 0.025), about 4.676.
TEST(Statistics, GiveHonestIntervalsTheBestScore) {
  Dice dice(5);
  std::vector<Answer> honest, narrow, wide;
  for (int i = 0; i < 20000; ++i) {
    const double error = dice.normal(1.0);
    honest.push_back({error, error - 1.96, error + 1.96, 1.0});
    narrow.push_back({error, error - 1.3, error + 1.3, 1.3 / 1.96});
    wide.push_back({error, error - 3.0, error + 3.0, 3.0 / 1.96});
  }
  const Summary h = summarise(honest);
  EXPECT_NEAR(h.coverage, 0.95, 0.007);
  EXPECT_NEAR(h.mean_score, 4.676, 0.12);
  EXPECT_NEAR(h.error_over_sd, 1.0, 0.03);
  EXPECT_NEAR(h.median_error, 0.6745, 0.03);
  EXPECT_NEAR(h.p90_error, 1.645, 0.05);
  EXPECT_NEAR(h.bias, 0.0, 0.04);
  EXPECT_GT(summarise(narrow).mean_score, h.mean_score);
  EXPECT_GT(summarise(wide).mean_score, h.mean_score);
  EXPECT_LT(summarise(narrow).coverage, 0.85);
}

}  // namespace
}  // namespace sweepflux::test
