#include "sweepflux/base/error.hpp"
#include "sweepflux/field/stream/active_normal_private.hpp"
#include "sweepflux/field/stream/mode_search_private.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <memory>

namespace sweepflux {
namespace {

constexpr std::size_t dimension = 8;

/// Coordinate 0 chooses; kind 0 sees 1 to 7, kind 1 sees 1 to 4. Log likelihood of kind 0: normal,
/// about `centre` with standard deviation `sd` in each of the first `narrow` coordinates.
SamplerTarget gaussian_target(double centre, double sd, double second_kind) {
  SamplerTarget t;
  t.dimension = dimension;
  t.active = {{1, 2, 3, 4, 5, 6, 7}, {1, 2, 3, 4}};
  t.kind = [](std::span<const double> z) { return z[0] < 0.0 ? 0 : 1; };
  t.log_likelihood = [=](std::span<const double> z) {
    double sum = z[0] < 0.0 ? 0.0 : second_kind;
    for (std::size_t j = 1; j <= 3; ++j) {
      sum -= 0.5 * std::pow((z[j] - centre) / sd, 2);
    }
    return sum;
  };
  return t;
}

/// Integral of that over a standard normal prior, by coordinate:
/// sd / sqrt(1 + sd^2) exp(-centre^2 / 2 / (1 + sd^2)).
double exact_log_evidence(double centre, double sd, double second_kind) {
  const double one = std::log(sd) - 0.5 * std::log1p(sd * sd) -
                     0.5 * centre * centre / (1.0 + sd * sd);
  return 3.0 * one + std::log(0.5 * (1.0 + std::exp(second_kind)));
}

TEST(PopulationSampler, KnowsEvidenceAndMomentsOfANormalTarget) {
  constexpr double centre = 1.5, sd = 0.1, second = 0.7;
  SamplerOptions options;
  options.particles = 1500;
  options.seed = 5;
  const Population p = sample_population(gaussian_target(centre, sd, second), options);
  ASSERT_EQ(p.z.size(), options.particles);
  EXPECT_NEAR(p.log_evidence, exact_log_evidence(centre, sd, second), 0.25);
  const double variance = sd * sd / (1.0 + sd * sd), mean = centre / (1.0 + sd * sd);
  for (std::size_t j = 1; j <= 3; ++j) {
    double sum = 0.0, squares = 0.0;
    for (const auto& z : p.z) {
      sum += z[j] / static_cast<double>(p.z.size());
    }
    for (const auto& z : p.z) {
      squares += std::pow(z[j] - sum, 2) / static_cast<double>(p.z.size());
    }
    EXPECT_NEAR(sum, mean, 0.2 * sd) << j;
    EXPECT_NEAR(squares / variance, 1.0, 0.2) << j;
  }
  double wide = 0.0, of_second = 0.0;
  for (const auto& z : p.z) {
    wide += z[7] * z[7] / static_cast<double>(p.z.size());
    of_second += z[0] < 0.0 ? 0.0 : 1.0 / static_cast<double>(p.z.size());
  }
  EXPECT_NEAR(wide, 1.0, 0.2);  // as the prior has it
  EXPECT_NEAR(of_second, std::exp(second) / (1.0 + std::exp(second)), 0.08);
}

TEST(PopulationSampler, KnowsEvidenceFromWhereverItStarts) {
  constexpr double centre = 1.5, sd = 0.1, second = 0.7;
  SamplerTarget t = gaussian_target(centre, sd, second);
  // Off by two standard deviations, wider than the target, and of the less likely kind mostly.
  for (const int kind : {0, 1}) {
    const std::size_t d = t.active[static_cast<std::size_t>(kind)].size();
    std::vector<double> mean(d, 0.0), covariance(d * d, 0.0);
    for (std::size_t j = 0; j < d; ++j) {
      mean[j] = j < 3 ? centre + 0.2 : 0.3;
      covariance[j * d + j] = j < 3 ? 0.04 : 1.5;
    }
    t.start.push_back({kind == 0 ? 0.8 : 0.1, kind,
                       std::make_shared<ActiveNormal>(
                           t.active[static_cast<std::size_t>(kind)], mean, covariance)});
  }
  SamplerOptions options;
  options.particles = 1500;
  const Population p = sample_population(t, options);
  EXPECT_NEAR(p.log_evidence, exact_log_evidence(centre, sd, second), 0.15);
  double sum = 0.0, wide = 0.0, of_second = 0.0;
  for (const auto& z : p.z) {
    sum += z[1] / 1500.0;
    wide += z[7] * z[7] / 1500.0;
    of_second += z[0] < 0.0 ? 0.0 : 1.0 / 1500.0;
  }
  EXPECT_NEAR(sum, centre / (1.0 + sd * sd), 0.2 * sd);
  EXPECT_NEAR(wide, 1.0, 0.2);
  EXPECT_NEAR(of_second, std::exp(second) / (1.0 + std::exp(second)), 0.08);
}

TEST(ModeSearch, TouchesTheModeOfANormalTarget) {
  constexpr double centre = 1.5, sd = 0.1, second = 0.7;
  const SamplerTarget t = gaussian_target(centre, sd, second);
  ModeSearch search;
  search.normal_equations = [=](std::span<const double> z, const std::vector<std::size_t>& entries,
                                const std::vector<double>&, std::vector<double>& hessian,
                                std::vector<double>& gradient) {
    for (std::size_t j = 0; j < 3; ++j) {
      hessian[j * entries.size() + j] += 1.0 / (sd * sd);
      gradient[j] -= (z[entries[j]] - centre) / (sd * sd);
    }
  };
  Dice dice(4);
  const std::vector<Mode> modes = find_modes(t, search, dice);
  double best[2] = {-1e300, -1e300};
  for (const Mode& m : modes) {
    best[m.kind] = std::max(best[m.kind], m.log_evidence);
    std::vector<double> at(dimension, 0.0);
    at[1] = at[2] = at[3] = centre / (1.0 + sd * sd);
    EXPECT_NEAR(m.normal->half_square(at), 0.0, 1e-3);
  }
  EXPECT_NEAR(best[0], exact_log_evidence(centre, sd, second) -
                           std::log(0.5 * (1.0 + std::exp(second))), 1e-3);
  EXPECT_NEAR(best[1] - best[0], second, 1e-3);
}

TEST(PopulationSampler, FindsBothOfTwoPeaks) {
  SamplerTarget t = gaussian_target(0.0, 1.0, 0.0);
  t.log_likelihood = [](std::span<const double> z) {
    const auto peak = [&](double at) { return std::exp(-0.5 * std::pow((z[1] - at) / 0.1, 2)); };
    return std::log(peak(1.0) + 2.0 * peak(-1.0) + 1e-300);
  };
  SamplerOptions options;
  options.particles = 1000;
  const Population p = sample_population(t, options);
  double left = 0.0;
  for (const auto& z : p.z) {
    left += z[1] < 0.0 ? 1.0 / static_cast<double>(p.z.size()) : 0.0;
  }
  EXPECT_NEAR(left, 2.0 / 3.0, 0.1);
}

TEST(PopulationSampler, GivesTheSameBitsForTheSameSeed) {
  SamplerOptions options;
  options.particles = 60;
  const SamplerTarget target = gaussian_target(1.0, 0.3, 0.0);
  const Population a = sample_population(target, options), b = sample_population(target, options);
  EXPECT_EQ(a.z, b.z);
  options.seed = 2;
  EXPECT_NE(a.z, sample_population(target, options).z);
}

TEST(PopulationSampler, StopsWhenAsked) {
  SamplerTarget target = gaussian_target(1.0, 0.3, 0.0);
  target.stop = [] { return true; };
  EXPECT_THROW((void)sample_population(target, {}), Interrupted);
}

}  // namespace
}  // namespace sweepflux
