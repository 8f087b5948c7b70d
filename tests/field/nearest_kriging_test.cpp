#include "sweepflux/field/general/nearest_kriging.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/field/general/scattered.hpp"
#include "tests/support/dice.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

namespace sweepflux {
namespace {

constexpr double half_width_m = 0.25;
constexpr double peak_m_s = 3.0;

double stream(PlanePoint p) {
  const double dz = p.z_m - 0.95;
  return peak_m_s * std::exp2(-(p.y_m * p.y_m + dz * dz) / (half_width_m * half_width_m));
}

/// Readings of a round stream: anywhere in the plane, or in so many sweeps.
ScatteredValues readings(std::size_t count, std::size_t sweeps, double noise, std::uint64_t seed) {
  test::Dice dice(seed);
  ScatteredValues v;
  for (std::size_t i = 0; i < count; ++i) {
    PlanePoint p{dice.uniform(-1.0, 1.0), dice.uniform(0.0, 2.0)};
    if (sweeps > 0) {
      p.z_m = 0.1 + 1.8 * static_cast<double>(i % sweeps) / static_cast<double>(sweeps - 1);
    }
    v.at.push_back(p);
    v.value.push_back(stream(p) + dice.normal(noise));
  }
  v.noise_sd.assign(count, noise);
  return merged(v);
}

KrigingModel model() {
  KrigingModel m;
  m.covariance = {Kernel::matern52, 0.4, 0.45, 0.9, 0.0};
  return m;
}

MapGrid grid(std::size_t side) {
  const double step = 2.0 / static_cast<double>(side - 1);
  return {-1.0, 0.0, step, step, side, side};
}

std::vector<PlanePoint> places(const MapGrid& g) {
  std::vector<PlanePoint> result;
  for (std::size_t iz = 0; iz < g.nz; ++iz) {
    for (std::size_t iy = 0; iy < g.ny; ++iy) {
      result.push_back(g.at(iy, iz));
    }
  }
  return result;
}

/// Root mean square of the difference, in units of the exact standard deviation.
double distance_from(const Interpolated& exact, const Interpolated& other) {
  double sum = 0.0;
  for (std::size_t i = 0; i < exact.value.size(); ++i) {
    sum += std::pow(exact.value[i] - other.value[i], 2) / exact.variance[i];
  }
  return std::sqrt(sum / static_cast<double>(exact.value.size()));
}

TEST(NearestKriging, IsTheExactOneWhenEveryReadingIsANeighbour) {
  const ScatteredValues v = readings(300, 0, 0.08, 1);
  const Interpolated exact = OrdinaryKriging(v, model()).predict(places(grid(24)));
  NearestOptions options;
  options.neighbours = 300;
  options.condense = false;
  const Interpolated near = NearestKriging(v, model(), options).predict(grid(24));
  for (std::size_t i = 0; i < exact.value.size(); ++i) {
    ASSERT_NEAR(near.value[i], exact.value[i], 1e-9);
    ASSERT_NEAR(near.variance[i], exact.variance[i], 1e-10);
  }
}

TEST(NearestKriging, ComesCloserWithMoreNeighbours) {
  const ScatteredValues v = readings(1000, 0, 0.08, 2);
  const Interpolated exact = OrdinaryKriging(v, model()).predict(places(grid(24)));
  double last = 1e9;
  for (const std::size_t k : {8U, 32U, 128U, 400U}) {
    NearestOptions options;
    options.neighbours = k;
    options.condense = false;
    const double distance =
        distance_from(exact, NearestKriging(v, model(), options).predict(grid(24)));
    EXPECT_LT(distance, 0.8 * last) << k;
    last = distance;
  }
  EXPECT_LT(last, 0.05);
}

TEST(NearestKriging, StaysCloseWhenItAveragesReadingsOverCells) {
  for (const std::size_t sweeps : {0U, 9U}) {
    const ScatteredValues v = readings(1500, sweeps, 0.08, 3);
    const Interpolated exact = OrdinaryKriging(v, model()).predict(places(grid(24)));
    const NearestKriging kriging(v, model());
    EXPECT_LT(kriging.condensed_readings(), 1400U);
    const Interpolated near = kriging.predict(grid(24));
    EXPECT_LT(distance_from(exact, near), 0.5) << sweeps;
    for (std::size_t i = 0; i < near.variance.size(); ++i) {
      EXPECT_GT(near.variance[i], 0.9 * exact.variance[i]);  // less known, never more sure
    }
  }
}

TEST(NearestKriging, SharesNeighboursInBlocksWithoutHarm) {
  const ScatteredValues v = readings(20000, 0, 0.08, 4);
  NearestOptions alone;
  alone.block = 1;
  const Interpolated each = NearestKriging(v, model(), alone).predict(grid(96));
  const Interpolated shared = NearestKriging(v, model()).predict(grid(96));
  EXPECT_LT(distance_from(each, shared), 0.35);
}

TEST(NearestKriging, FindsTheSameNeighboursByTreeAndByBruteForce) {
  const ScatteredValues v = readings(5000, 9, 0.08, 5);
  NearestOptions brute;
  brute.search = Search::brute_force;
  const Interpolated tree = NearestKriging(v, model()).predict(grid(32));
  const Interpolated all = NearestKriging(v, model(), brute).predict(grid(32));
  EXPECT_EQ(tree.value, all.value);
  EXPECT_EQ(tree.variance, all.variance);
}

TEST(NearestKriging, GivesTheSameBitsWithOneThreadAndWithTwo) {
  const ScatteredValues v = readings(20000, 0, 0.08, 6);
  NearestOptions one;
  one.threads = 1;
  NearestOptions two;
  two.threads = 2;
  one.dense = 500;
  two.dense = 500;
  const NearestKriging first(v, model(), one);
  const NearestKriging second(v, model(), two);
  const Interpolated a = first.predict(grid(128));
  const Interpolated b = second.predict(grid(128));
  EXPECT_EQ(a.value, b.value);
  EXPECT_EQ(a.variance, b.variance);
  EXPECT_EQ(first.integrate(grid(128), a).square, second.integrate(grid(128), b).square);
  EXPECT_EQ(first.integrate(grid(128), a).square_variance,
            second.integrate(grid(128), b).square_variance);
}

TEST(NearestKriging, IntegratesAsTheExactOneDoes) {
  const ScatteredValues v = readings(1500, 0, 0.08, 7);
  const MapGrid g = grid(40);
  std::vector<double> weights(g.ny * g.nz, g.step_y_m * g.step_z_m);
  for (std::size_t i = 0; i < weights.size(); ++i) {
    const std::size_t iy = i % g.ny;
    const std::size_t iz = i / g.ny;
    weights[i] *= (iy == 0 || iy + 1 == g.ny ? 0.5 : 1.0) * (iz == 0 || iz + 1 == g.nz ? 0.5 : 1.0);
  }
  const FieldIntegrals exact = OrdinaryKriging(v, model()).integrate(places(g), weights);
  NearestOptions options;
  options.dense = 600;
  const NearestKriging kriging(v, model(), options);
  ASSERT_LE(kriging.dense_readings(), 600U);
  const FieldIntegrals near = kriging.integrate(g, kriging.predict(g));
  const double flow_sd = std::sqrt(exact.flow_variance);
  const double square_sd = std::sqrt(exact.square_variance);
  EXPECT_NEAR(near.flow, exact.flow, 0.3 * flow_sd);
  EXPECT_NEAR(near.square, exact.square, 0.3 * square_sd);
  EXPECT_NEAR(std::sqrt(near.flow_variance), flow_sd, 0.1 * flow_sd);
  EXPECT_NEAR(std::sqrt(near.square_variance), square_sd, 0.1 * square_sd);
}

TEST(NearestKriging, KnowsFlowAndMomentumOfAHundredThousandReadings) {
  // Closed forms of a Gaussian stream: pi/ln2 and pi/(2 ln2) times peak (squared) and half width
  // squared; what lies outside the window is 1e-4 of the flow.
  const double area = half_width_m * half_width_m * std::numbers::pi / std::numbers::ln2;
  const double flow = peak_m_s * area;
  const double square = 0.5 * peak_m_s * peak_m_s * area;
  const NearestKriging kriging(readings(100000, 0, 0.08, 8), model());
  const MapGrid g = grid(128);
  const FieldIntegrals near = kriging.integrate(g, kriging.predict(g));
  EXPECT_NEAR(near.flow, flow, 3.0 * std::sqrt(near.flow_variance));
  EXPECT_NEAR(near.square, square, 3.0 * std::sqrt(near.square_variance));
  EXPECT_LT(std::sqrt(near.flow_variance), 0.003 * flow);
  EXPECT_LT(std::sqrt(near.square_variance), 0.003 * square);
}

TEST(NearestKriging, DoesNotDependOnTheOrderOfPlaces) {
  const ScatteredValues v = readings(4000, 9, 0.08, 9);
  std::vector<PlanePoint> wanted = places(grid(16));
  const Interpolated straight = NearestKriging(v, model()).predict(wanted);
  std::reverse(wanted.begin(), wanted.end());
  Interpolated back = NearestKriging(v, model()).predict(wanted);
  std::reverse(back.value.begin(), back.value.end());
  for (std::size_t i = 0; i < wanted.size(); ++i) {
    EXPECT_NEAR(straight.value[i], back.value[i], 0.2 * std::sqrt(straight.variance[i]));
  }
}

TEST(NearestKriging, TellsOfProgressAndStopsWhenAsked) {
  const NearestKriging kriging(readings(1000, 0, 0.08, 10), model());
  Progress progress;
  double last = -1.0;
  progress.report = [&](const char*, double share) {
    EXPECT_GE(share, last);
    EXPECT_LE(share, 1.0);
    last = share;
  };
  (void)kriging.predict(grid(300), progress);
  EXPECT_GE(last, 0.5);
  progress.stop_wanted = [&] { return true; };
  EXPECT_THROW((void)kriging.predict(grid(300), progress), Interrupted);
}

TEST(NearestKriging, RefusesOptionsOutOfRangeAndANuggetAsStructure) {
  const ScatteredValues v = readings(100, 0, 0.08, 11);
  NearestOptions none;
  none.neighbours = 0;
  EXPECT_THROW(NearestKriging(v, model(), none), InputError);
  NearestOptions wide;
  wide.block_share = 1.5;
  EXPECT_THROW(NearestKriging(v, model(), wide), InputError);
  KrigingModel structure = model();
  structure.nugget = 0.1;
  structure.nugget_is = Nugget::structure;
  EXPECT_THROW(NearestKriging(v, structure), InputError);
  const NearestKriging fine(v, model());
  EXPECT_THROW((void)fine.integrate(grid(8), Interpolated{}), InputError);
  EXPECT_THROW((void)fine.predict(MapGrid{}), InputError);
}

}  // namespace
}  // namespace sweepflux
