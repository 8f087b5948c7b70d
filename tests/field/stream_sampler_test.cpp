#include "sweepflux/base/error.hpp"
#include "sweepflux/field/stream/active_normal_private.hpp"
#include "sweepflux/field/stream/mode_search_private.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <set>

namespace sweepflux {
namespace {

constexpr std::size_t dimension = 8;

/// Sees coordinates 1 to 7. Log likelihood: normal, about `centre` with standard deviation `sd` in
/// each of the first three of them.
SamplerTarget gaussian_target(double centre, double sd) {
  SamplerTarget t;
  t.dimension = dimension;
  t.active = {1, 2, 3, 4, 5, 6, 7};
  t.log_likelihood = [=](std::span<const double> z, double) {
    double sum = 0.0;
    for (std::size_t j = 1; j <= 3; ++j) {
      sum -= 0.5 * std::pow((z[j] - centre) / sd, 2);
    }
    return sum;
  };
  return t;
}

/// Integral of that over a standard normal prior, by coordinate:
/// sd / sqrt(1 + sd^2) exp(-centre^2 / 2 / (1 + sd^2)).
double exact_log_evidence(double centre, double sd) {
  return 3.0 * (std::log(sd) - 0.5 * std::log1p(sd * sd) - 0.5 * centre * centre / (1.0 + sd * sd));
}

struct Sampled {
  std::vector<std::vector<double>> z;
  double log_evidence = 0.0;
};

Sampled sampled(const SamplerTarget& target, const SamplerOptions& options, std::size_t count) {
  PopulationSampler sampler(target, options);
  sampler.rise();
  return {sampler.draws(count), sampler.log_evidence()};
}

TEST(PopulationSampler, KnowsEvidenceAndMomentsOfANormalTarget) {
  constexpr double centre = 1.5, sd = 0.1;
  SamplerOptions options;
  options.particles = 1500;
  options.seed = 5;
  const Sampled p = sampled(gaussian_target(centre, sd), options, 1500);
  ASSERT_EQ(p.z.size(), 1500U);
  EXPECT_NEAR(p.log_evidence, exact_log_evidence(centre, sd), 0.25);
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
  double wide = 0.0;
  for (const auto& z : p.z) {
    wide += z[7] * z[7] / static_cast<double>(p.z.size());
  }
  EXPECT_NEAR(wide, 1.0, 0.2);  // as the prior has it
}

TEST(PopulationSampler, KnowsEvidenceFromWhereverItStarts) {
  constexpr double centre = 1.5, sd = 0.1;
  SamplerTarget t = gaussian_target(centre, sd);
  // Off by two standard deviations, wider than the target.
  const std::size_t d = t.active.size();
  std::vector<double> mean(d, 0.0), covariance(d * d, 0.0);
  for (std::size_t j = 0; j < d; ++j) {
    mean[j] = j < 3 ? centre + 0.2 : 0.3;
    covariance[j * d + j] = j < 3 ? 0.04 : 1.5;
  }
  t.start.push_back({0.9, std::make_shared<ActiveNormal>(t.active, mean, covariance)});
  SamplerOptions options;
  options.particles = 1500;
  const Sampled p = sampled(t, options, 1500);
  EXPECT_NEAR(p.log_evidence, exact_log_evidence(centre, sd), 0.15);
  double sum = 0.0, wide = 0.0;
  for (const auto& z : p.z) {
    sum += z[1] / 1500.0;
    wide += z[7] * z[7] / 1500.0;
  }
  EXPECT_NEAR(sum, centre / (1.0 + sd * sd), 0.2 * sd);
  EXPECT_NEAR(wide, 1.0, 0.2);
}

/// Normal equations of gaussian_target, as if its centre were this one; five starts.
ModeSearch search_about(double centre, double sd) {
  ModeSearch search;
  search.normal_equations = [=](std::span<const double> z,
                                const std::vector<std::size_t>& entries,
                                const std::vector<double>&,
                                std::vector<double>& hessian,
                                std::vector<double>& gradient) {
    for (std::size_t j = 0; j < 3; ++j) {
      hessian[j * entries.size() + j] += 1.0 / (sd * sd);
      gradient[j] -= (z[entries[j]] - centre) / (sd * sd);
    }
  };
  search.starts = [](Dice& d) {
    std::vector<std::vector<double>> out(5, std::vector<double>(dimension));
    for (auto& z : out) {
      std::generate(z.begin(), z.end(), [&] { return d.normal(); });
    }
    return out;
  };
  return search;
}

TEST(ModeSearch, TouchesTheModeOfANormalTarget) {
  constexpr double centre = 1.5, sd = 0.1;
  const SamplerTarget t = gaussian_target(centre, sd);
  Dice dice(4);
  const std::vector<Mode> modes = find_modes(t, search_about(centre, sd), dice);
  ASSERT_EQ(modes.size(), 1U);  // all five starts climb the same
  std::vector<double> at(dimension, 0.0);
  at[1] = at[2] = at[3] = centre / (1.0 + sd * sd);
  const Mode& m = modes.front();
  EXPECT_NEAR(m.log_evidence, exact_log_evidence(centre, sd), 1e-3);
  EXPECT_NEAR(m.tempered->half_square(at), 0.0, 1e-3);
  // The likelihood is raised to a power below 1: a standard deviation off is less than one there.
  std::vector<double> off = at;
  off[1] += sd;
  EXPECT_LT(m.tempered->half_square(off), 0.26);
  EXPECT_GT(m.tempered->half_square(off), 0.5 * sd * sd);
}

TEST(ModeSearch, EndsAtTheModeWhereTheNormalEquationsMislead) {
  // They stop half a standard deviation short, where the evidence is lower by 3 / 8.
  constexpr double centre = 1.5, sd = 0.1;
  const SamplerTarget t = gaussian_target(centre, sd);
  Dice dice(4);
  const std::vector<Mode> modes = find_modes(t, search_about(centre - 0.5 * sd, sd), dice);
  ASSERT_EQ(modes.size(), 1U);
  EXPECT_NEAR(modes.front().log_evidence, exact_log_evidence(centre, sd), 1e-2);
}

TEST(ModeSearch, ASimplerModelsStartLeavesTheRestToThePrior) {
  const std::vector<std::size_t> one = {1}, both = {1, 2};
  const auto of_one =
      std::make_shared<ActiveNormal>(one, std::vector<double>{3.0}, std::vector<double>{0.01});
  const auto of_both = std::make_shared<ActiveNormal>(
      both, std::vector<double>{1.0, 1.0}, std::vector<double>{0.01, 0.0, 0.0, 0.01});
  const std::vector<StartingNormal> simple = start_from({{{0.0, 3.0, 0.0}, -4.0, of_one}}, {});
  const std::vector<StartingNormal> start = start_from({{{0.0, 1.0, 1.0}, -9.0, of_both}}, simple);
  ASSERT_EQ(simple.size(), 1U);
  ASSERT_EQ(start.size(), 2U);
  EXPECT_NEAR(simple[0].weight, 0.9, 1e-12);
  EXPECT_NEAR(start[0].weight + start[1].weight, 0.9, 1e-12);
  EXPECT_EQ(start[1].normal, of_one);
  Dice dice(3);
  double squares = 0.0;
  for (int i = 0; i < 400; ++i) {
    std::vector<double> z = {0.0, dice.normal(), dice.normal()};
    start[1].normal->towards(z, 0.0, dice);
    EXPECT_NEAR(z[1], 3.0, 0.6);
    squares += z[2] * z[2] / 400.0;
  }
  EXPECT_NEAR(squares, 1.0, 0.3);
}

TEST(PopulationSampler, FindsBothOfTwoPeaks) {
  SamplerTarget t = gaussian_target(0.0, 1.0);
  t.log_likelihood = [](std::span<const double> z, double) {
    const auto peak = [&](double at) { return std::exp(-0.5 * std::pow((z[1] - at) / 0.1, 2)); };
    return std::log(peak(1.0) + 2.0 * peak(-1.0) + 1e-300);
  };
  SamplerOptions options;
  options.particles = 400;
  const Sampled p = sampled(t, options, 600);
  double left = 0.0;
  for (const auto& z : p.z) {
    left += z[1] < 0.0 ? 1.0 / static_cast<double>(p.z.size()) : 0.0;
  }
  EXPECT_NEAR(left, 2.0 / 3.0, 0.1);
}

TEST(PopulationSampler, GivesTheSameBitsForTheSameSeed) {
  SamplerOptions options;
  options.particles = 60;
  const SamplerTarget target = gaussian_target(1.0, 0.3);
  const Sampled a = sampled(target, options, 90);
  EXPECT_EQ(a.z, sampled(target, options, 90).z);
  options.seed = 2;
  EXPECT_NE(a.z, sampled(target, options, 90).z);
}

TEST(PopulationSampler, NeedsNoLikelihoodOfWhatItWillRefuse) {
  SamplerOptions options;
  options.particles = 60;
  SamplerTarget target = gaussian_target(1.0, 0.3);
  const Sampled all = sampled(target, options, 60);
  target.log_likelihood = [whole = target.log_likelihood](std::span<const double> z, double least) {
    const double l = whole(z, least);
    return l > least ? l : -1e30;
  };
  const Sampled given_up = sampled(target, options, 60);
  EXPECT_EQ(all.z, given_up.z);
  EXPECT_EQ(all.log_evidence, given_up.log_evidence);
}

TEST(PopulationSampler, ForgetsHowFewParticlesTheRiseLeft) {
  SamplerOptions options;
  options.particles = 128;
  options.keep = 0.03;      // two or three steps that leave four particles each,
  options.most_rounds = 0;  // and nothing moves in between
  constexpr double centre = 1.5, sd = 0.3;
  const Sampled p = sampled(gaussian_target(centre, sd), options, 128);
  std::set<double> different;
  double mean = 0.0, squares = 0.0;
  for (const auto& z : p.z) {
    different.insert(z[1]);
    mean += z[1] / 128.0;
    squares += z[1] * z[1] / 128.0;
  }
  EXPECT_GT(different.size(), 100U);
  const double variance = sd * sd / (1.0 + sd * sd);
  EXPECT_NEAR(mean, centre / (1.0 + sd * sd), 0.35 * sd);
  EXPECT_NEAR((squares - mean * mean) / variance, 1.0, 0.4);
}

TEST(PopulationSampler, StopsWhenAsked) {
  SamplerTarget target = gaussian_target(1.0, 0.3);
  target.stop = [] { return true; };
  PopulationSampler sampler(target, {});
  EXPECT_THROW(sampler.rise(), Interrupted);
}

}  // namespace
}  // namespace sweepflux
