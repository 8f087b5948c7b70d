#include "sweepflux/field/stream/population_sampler.hpp"
#include "sweepflux/field/stream/response_surface_private.hpp"
#include "sweepflux/field/stream/tempering_private.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numeric>

namespace sweepflux {
namespace {

constexpr std::size_t coordinates = 4;

double quadratic(const std::vector<float>& x) {
  const double a = x[0], b = x[1], c = x[2];
  return 7.0 - 2.0 * a - (a - b) * (a - b) - 0.5 * c * c + 0.3 * b * c;
}

std::vector<float> place(Dice& dice) {
  std::vector<float> x(coordinates);
  std::generate(x.begin(), x.end(), [&] { return static_cast<float>(3.0 + dice.normal()); });
  return x;
}

TEST(ResponseSurface, IsTheQuadraticFormThatItWasFittedTo) {
  Dice dice(1);
  ResponseSurface surface(coordinates);
  double highest = -1e300;
  for (int i = 0; i < 3000; ++i) {
    const std::vector<float> x = place(dice);
    surface.add(x, quadratic(x));
    highest = std::max(highest, quadratic(x));
  }
  surface.fit(-1e9);
  ASSERT_TRUE(surface.is_fitted());
  for (int i = 0; i < 100; ++i) {
    const std::vector<float> x = place(dice);
    EXPECT_NEAR(surface.at(x), std::min(quadratic(x), highest), 0.25);  // the pull to flat
  }
}

TEST(ResponseSurface, LeavesOutWhatIsTooUnlikely) {
  Dice dice(2);
  ResponseSurface surface(coordinates);
  for (int i = 0; i < 3000; ++i) {
    const std::vector<float> x = place(dice);
    const bool cliff = x[3] > 4.0f;
    surface.add(x, cliff ? -1e6 : quadratic(x));
  }
  surface.fit(-1000.0);
  const std::vector<float> x = {3.0f, 3.2f, 2.8f, 3.0f};
  EXPECT_NEAR(surface.at(x), quadratic(x), 0.1);
}

TEST(ResponseSurface, StaysAsItWasWithTooFewPlaces) {
  Dice dice(3);
  ResponseSurface surface(coordinates);
  for (int i = 0; i < 20; ++i) {  // 15 terms
    const std::vector<float> x = place(dice);
    surface.add(x, quadratic(x));
  }
  surface.fit(-1e9);
  EXPECT_FALSE(surface.is_fitted());
}

TEST(Tempering, RisesWhollyWhereNothingIsLost) {
  Dice dice(4);
  const std::vector<double> flat(40, -3.0);
  const TemperingStep step = temper(flat, 0.25, 0.5, dice);
  EXPECT_EQ(step.rise, 0.25);
  EXPECT_NEAR(step.log_mean_weight, -0.75, 1e-12);
  std::vector<std::size_t> parents = step.parents, all(40);
  std::sort(parents.begin(), parents.end());
  std::iota(all.begin(), all.end(), 0U);
  EXPECT_EQ(parents, all);
}

TEST(Tempering, KeepsTheShareOfEffectiveParticles) {
  Dice dice(5);
  std::vector<double> log_ratio(500);
  std::generate(log_ratio.begin(), log_ratio.end(), [&] { return 50.0 * dice.normal(); });
  const TemperingStep step = temper(log_ratio, 1.0, 0.5, dice);
  EXPECT_LT(step.rise, 1.0);
  double one = 0.0, two = 0.0;
  std::vector<double> weight;
  for (const double r : log_ratio) {
    weight.push_back(std::exp(step.rise * r));
    one += weight.back();
    two += weight.back() * weight.back();
  }
  EXPECT_NEAR(one * one / two, 250.0, 0.01);
  EXPECT_NEAR(step.log_mean_weight, std::log(one / 500.0), 1e-9);
  ASSERT_EQ(step.parents.size(), 500U);
  for (std::size_t i = 0; i < 500; ++i) {  // systematic: within one of the expected number
    const auto copies = std::count(step.parents.begin(), step.parents.end(), i);
    EXPECT_NEAR(static_cast<double>(copies), 500.0 * weight[i] / one, 1.0);
  }
}

}  // namespace
}  // namespace sweepflux
