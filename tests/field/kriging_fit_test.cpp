#include "sweepflux/field/general/kriging_fit.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/field/general/bounded_search.hpp"
#include "sweepflux/field/general/scattered.hpp"
#include "tests/support/dice.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

namespace sweepflux {
namespace {

/// Draws of a field with a known covariance: a sum of many plane waves of random direction. The
/// wave numbers of a Matern field follow a Student distribution [Rasmussen 2006, eq. 4.15]: normal
/// over the root of a gamma; for 5/2 the gamma is half the sum of five squared normals.
ScatteredValues draw(std::size_t count,
                     double sd,
                     double range_y,
                     double range_z,
                     double noise,
                     std::uint64_t seed) {
  test::Dice dice(seed);
  struct Wave {
    double y, z, phase;
  };
  std::vector<Wave> waves;
  for (int i = 0; i < 2000; ++i) {
    double squares = 0.0;
    for (int k = 0; k < 5; ++k) {
      squares += std::pow(dice.normal(1.0), 2);
    }
    const double scale = std::sqrt(5.0 / squares);
    waves.push_back({dice.normal(scale) / range_y,
                     dice.normal(scale) / range_z,
                     dice.uniform(0.0, 6.283185307179586)});
  }
  ScatteredValues v;
  for (std::size_t i = 0; i < count; ++i) {
    const PlanePoint p{dice.uniform(-1.0, 1.0), dice.uniform(0.0, 2.0)};
    double value = 1.0;
    for (const Wave& w : waves) {
      value += sd * std::sqrt(2.0 / 2000.0) * std::cos(w.y * p.y_m + w.z * p.z_m + w.phase);
    }
    v.at.push_back(p);
    v.value.push_back(value + dice.normal(noise));
  }
  return merged(v);
}

KrigingModel some_model() {
  KrigingModel m;
  m.covariance = {Kernel::matern52, 0.8, 0.3, 0.7, 0.2};
  m.nugget = 0.01;
  return m;
}

TEST(VecchiaLikelihood, IsTheExactOneForSoFewReadingsThatAllAreSeen) {
  KrigingModel m = some_model();
  const ScatteredValues few = draw(60, 1.0, 0.3, 0.2, 0.1, 2);
  const VecchiaLikelihood exact(few, 60, 1000000);
  EXPECT_NEAR(exact.restricted_log_likelihood(m),
              OrdinaryKriging(few, m).restricted_log_likelihood(),
              1e-8);
  m.known_mean = 0.9;
  EXPECT_NEAR(exact.restricted_log_likelihood(m), OrdinaryKriging(few, m).log_likelihood(), 1e-8);
}

TEST(VecchiaLikelihood, GivesTheSameBitsWithOneThreadAndWithTwo) {
  const ScatteredValues v = draw(2000, 1.0, 0.3, 0.2, 0.1, 3);
  EXPECT_EQ(VecchiaLikelihood(v, 20, 800, 1).restricted_log_likelihood(some_model()),
            VecchiaLikelihood(v, 20, 800, 2).restricted_log_likelihood(some_model()));
}

// One draw over a few dozen squared ranges: its own variance strays by a third, and the ranges
// with it; the nugget is known well.
void expect_found(const FittedModel& fitted) {
  EXPECT_TRUE(fitted.converged);
  const Covariance& c = fitted.model.covariance;
  EXPECT_NEAR(std::log(c.range_m / 0.35), 0.0, 0.35);
  EXPECT_NEAR(std::log(c.range_m * c.ratio / 0.2), 0.0, 0.35);
  EXPECT_NEAR(std::log(std::sqrt(c.sill) / 1.2), 0.0, 0.5);
  EXPECT_NEAR(std::log(std::sqrt(fitted.model.nugget) / 0.1), 0.0, 0.1);
}

TEST(KrigingFit, FindsTheCovarianceOfDrawsByTheExactLikelihood) {
  FitOptions options;
  options.exact_limit = 300;
  expect_found(fit_kriging(draw(300, 1.2, 0.35, 0.2, 0.1, 4), options));
}

TEST(KrigingFit, FindsTheCovarianceOfDrawsFromNearestNeighbours) {
  expect_found(fit_kriging(draw(4000, 1.2, 0.35, 0.2, 0.1, 5)));
}

TEST(KrigingFit, LeavesExactValuesWithoutANugget) {
  FitOptions options;
  options.fit_nugget = false;
  const FittedModel fitted = fit_kriging(draw(200, 1.0, 0.4, 0.4, 0.0, 6), options);
  EXPECT_LT(fitted.model.nugget, 1e-7 * fitted.model.covariance.sill);
}

TEST(KrigingFit, ScalesWithTheUnitsOfSpeedAndLength) {
  const ScatteredValues v = draw(200, 1.0, 0.3, 0.2, 0.1, 7);
  ScatteredValues scaled = v;
  for (std::size_t i = 0; i < v.at.size(); ++i) {
    scaled.at[i] = {1e4 * v.at[i].y_m, 1e4 * v.at[i].z_m};
    scaled.value[i] = 1e-4 * v.value[i];
  }
  const KrigingModel one = fit_kriging(v).model;
  const KrigingModel other = fit_kriging(scaled).model;
  EXPECT_NEAR(other.covariance.range_m / one.covariance.range_m, 1e4, 10.0);
  EXPECT_NEAR(other.covariance.sill / one.covariance.sill, 1e-8, 1e-11);
  EXPECT_NEAR(other.nugget / one.nugget, 1e-8, 1e-11);
}

TEST(KrigingFit, RefusesEqualValuesAndTooFewPlaces) {
  ScatteredValues v = draw(20, 1.0, 0.3, 0.2, 0.1, 8);
  v.value.assign(20, 1.5);
  EXPECT_THROW((void)fit_kriging(v), NumericalError);
  v.at.resize(2);
  v.value = {1.0, 2.0};
  EXPECT_THROW((void)fit_kriging(v), NumericalError);
  FitOptions none;
  none.neighbours = 1;
  EXPECT_THROW((void)fit_kriging(draw(20, 1.0, 0.3, 0.2, 0.1, 9), none), InputError);
}

TEST(BoundedSearch, FindsTheBottomOfACurvedValley) {
  // Rosenbrock's valley [Rosenbrock 1960], least value 0 at (1, 1).
  const auto valley = [](std::span<const double> x) {
    return 100.0 * std::pow(x[1] - x[0] * x[0], 2) + std::pow(1.0 - x[0], 2);
  };
  const std::vector<double> low{-3.0, -3.0};
  const std::vector<double> high{3.0, 3.0};
  const SearchResult found = search_minimum(valley, {-1.2, 1.0}, low, high, 1e-12, 200);
  EXPECT_TRUE(found.converged);
  EXPECT_NEAR(found.at[0], 1.0, 1e-3);
  EXPECT_NEAR(found.at[1], 1.0, 2e-3);
}

TEST(BoundedSearch, StopsAtTheWallOfItsBox) {
  const auto slope = [](std::span<const double> x) { return x[0] + std::pow(x[1] - 0.3, 2); };
  const std::vector<double> low{-2.0, -1.0};
  const std::vector<double> high{2.0, 1.0};
  const SearchResult found = search_minimum(slope, {1.0, -0.5}, low, high);
  EXPECT_EQ(found.at[0], -2.0);
  EXPECT_NEAR(found.at[1], 0.3, 1e-4);
  EXPECT_THROW((void)search_minimum(slope, {3.0, 0.0}, low, high), InputError);
}

}  // namespace
}  // namespace sweepflux
