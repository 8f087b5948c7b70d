#include "sweepflux/field/general/condense.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/field/general/scattered.hpp"
#include "tests/support/dice.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numeric>

namespace sweepflux {
namespace {

KrigingModel condensed_model() {
  KrigingModel m;
  m.covariance = {Kernel::matern52, 1.0, 0.5, 1.0, 0.0};
  m.nugget = 0.01;
  return m;
}

ScatteredValues scattered(std::size_t count, double noise, std::uint64_t seed) {
  test::Dice dice(seed);
  ScatteredValues v;
  for (std::size_t i = 0; i < count; ++i) {
    v.at.push_back({dice.uniform(-1.0, 1.0), dice.uniform(0.0, 1.0)});
    v.value.push_back(2.0 + 1.5 * v.at.back().y_m - v.at.back().z_m);
    v.noise_sd.push_back(noise * dice.uniform(0.5, 2.0));
  }
  return merged(v);
}

TEST(Condense, KeepsTheWeightedSumsOfItsReadings) {
  const ScatteredValues v = scattered(3000, 0.1, 1);
  const Condensed cells = condense(v, condensed_model(), 0.15);
  EXPECT_LT(cells.values.at.size(), 500U);
  // Noise alone, without what the field does inside a cell: information adds up.
  KrigingModel flat = condensed_model();
  flat.covariance.sill = 0.0;
  const Condensed noise_only = condense(v, flat, 0.15);
  double before = 0.0;
  double value_before = 0.0;
  for (std::size_t i = 0; i < v.at.size(); ++i) {
    const double weight = 1.0 / (0.01 + v.noise_sd[i] * v.noise_sd[i]);
    before += weight;
    value_before += weight * v.value[i];
  }
  double after = 0.0;
  double value_after = 0.0;
  for (std::size_t c = 0; c < noise_only.values.at.size(); ++c) {
    const double weight = 1.0 / (noise_only.values.noise_sd[c] * noise_only.values.noise_sd[c]);
    after += weight;
    value_after += weight * noise_only.values.value[c];
  }
  EXPECT_NEAR(after, before, 1e-9 * before);
  EXPECT_NEAR(value_after, value_before, 1e-9 * std::abs(value_before));
}

TEST(Condense, KeepsAPlaneFieldExactly) {
  const ScatteredValues v = scattered(3000, 0.1, 2);
  const Condensed cells = condense(v, condensed_model(), 0.2);
  for (std::size_t c = 0; c < cells.values.at.size(); ++c) {
    const PlanePoint p = cells.values.at[c];
    EXPECT_NEAR(cells.values.value[c], 2.0 + 1.5 * p.y_m - p.z_m, 1e-12);
  }
}

TEST(Condense, AddsMoreNoiseForCoarserCells) {
  const ScatteredValues v = scattered(4000, 0.1, 3);
  const auto own_noise = [&](double share) {
    KrigingModel flat = condensed_model();
    flat.covariance.sill = 0.0;
    const Condensed with = condense(v, condensed_model(), share);
    const Condensed without = condense(v, flat, share);
    double sum = 0.0;
    for (std::size_t c = 0; c < with.values.at.size(); ++c) {
      sum += std::pow(with.values.noise_sd[c], 2) - std::pow(without.values.noise_sd[c], 2);
    }
    return sum / static_cast<double>(with.values.at.size());
  };
  const double fine = own_noise(0.1);
  const double middle = own_noise(0.2);
  const double coarse = own_noise(0.4);
  EXPECT_GT(fine, 0.0);
  // Second order in the place, so fourth in the variance: 16 a doubling, less for the rougher part.
  EXPECT_NEAR(middle / fine, 14.0, 4.0);
  EXPECT_NEAR(coarse / middle, 14.0, 4.0);
}

TEST(Condense, LeavesReadingsWithoutNoiseAlone) {
  ScatteredValues v = scattered(1000, 0.1, 4);
  v.noise_sd.clear();
  KrigingModel exact = condensed_model();
  exact.nugget = 0.0;
  const Condensed cells = condense_harmlessly(v, exact);
  EXPECT_EQ(cells.cell_share, 0.0);
  EXPECT_EQ(cells.values.value, v.value);
}

TEST(Condense, StaysBelowTheCountAskedFor) {
  const ScatteredValues v = scattered(5000, 0.1, 5);
  EXPECT_LE(condense_to(v, condensed_model(), 300).values.at.size(), 300U);
  EXPECT_EQ(condense_to(v, condensed_model(), 5000).values.at.size(), 5000U);
  EXPECT_EQ(condense_to(v, condensed_model(), 1).values.at.size(), 1U);
  EXPECT_THROW((void)condense(v, condensed_model(), 0.0), InputError);
}

}  // namespace
}  // namespace sweepflux
