#include "sweepflux/derive/sample/scatter.hpp"

#include "tests/support/dice.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

namespace sweepflux {
namespace {

using test::Dice;

struct Jet {
  int angles = 41;
  double share = 0.03;
  double offset_m_s = 0.05;
  double start_m_s = 0.0;
  bool uneven = false;
};

/// Seven sweeps at 1.8 m over a Gaussian jet of 3 m/s and 0.18 m half width, +-24 degrees.
std::vector<SweepLine> sweeps_over(const Jet& jet, Dice& dice) {
  std::vector<SweepLine> lines;
  for (int k = -3; k <= 3; ++k) {
    SweepLine line;
    for (int i = 0; i < jet.angles; ++i) {
      const double step = 48.0 / (jet.angles - 1);
      const double off = jet.uneven ? dice.uniform(-0.3, 0.3) : 0.0;
      const double angle = (-24.0 + step * (i + off)) * 0.017453292519943295;
      const double y = 1.8 * std::sin(angle) / 0.18;
      const double z = 0.14 * k / 0.18;
      const double v = 3.0 * std::exp2(-y * y - z * z);
      const double noisy = v + dice.normal(std::hypot(jet.offset_m_s, jet.share * v));
      line.position.push_back(angle);
      line.usable.push_back(noisy >= jet.start_m_s || jet.start_m_s <= 0.0);
      line.speed_m_s.push_back(line.usable.back() ? noisy : jet.start_m_s);
    }
    lines.push_back(std::move(line));
  }
  return lines;
}

/// Root mean square of the noise that a model states for the readings that were used.
double typical(const std::vector<SweepLine>& lines, const NoiseModel& model) {
  double sum = 0.0;
  double count = 0.0;
  for (const SweepLine& line : lines) {
    for (std::size_t i = 0; i < line.position.size(); ++i) {
      if (line.usable[i]) {
        sum += std::pow(model.sd_m_s(line.speed_m_s[i]), 2);
        count += 1.0;
      }
    }
  }
  return std::sqrt(sum / count);
}

/// How many of twelve runs find the noise within a factor; all must be within twice that in log.
int runs_within(const Jet& jet, double factor) {
  int good = 0;
  for (std::uint64_t seed = 1; seed <= 12; ++seed) {
    Dice dice(seed);
    const std::vector<SweepLine> lines = sweeps_over(jet, dice);
    const double ratio =
        typical(lines, find_scatter(lines).model) / typical(lines, {jet.offset_m_s, jet.share});
    good += std::abs(std::log(ratio)) < std::log(factor) ? 1 : 0;
    EXPECT_LT(std::abs(std::log(ratio)), 2.0 * std::log(factor)) << "seed " << seed;
  }
  return good;
}

TEST(Scatter, finds_the_noise_of_a_jet_within_a_quarter) {
  EXPECT_GE(runs_within({41}, 1.25), 10);
  EXPECT_GE(runs_within({61}, 1.25), 10);
}

TEST(Scatter, finds_it_too_when_slow_readings_are_blank) {
  EXPECT_GE(runs_within({41, 0.03, 0.05, 0.3}, 1.25), 10);
  EXPECT_GE(runs_within({61, 0.03, 0.05, 0.3}, 1.25), 10);
}

TEST(Scatter, finds_it_with_steps_of_almost_half_a_half_width) {
  EXPECT_GE(runs_within({21}, 1.25), 10);
  EXPECT_GE(runs_within({21, 0.03, 0.05, 0.3}, 1.45), 10);  // some fifty readings in all
}

TEST(Scatter, finds_it_at_uneven_positions) {
  EXPECT_GE(runs_within({41, 0.03, 0.05, 0.0, true}, 1.25), 10);
}

TEST(Scatter, finds_noise_far_from_its_prior) {
  EXPECT_GE(runs_within({61, 0.10, 0.15}, 1.3), 10);
  EXPECT_GE(runs_within({61, 0.01, 0.015}, 1.3), 10);
}

TEST(Scatter, reads_a_smooth_profile_without_noise_as_nearly_free_of_it) {
  for (const int angles : {21, 41, 61}) {
    Dice dice(1);
    const std::vector<SweepLine> lines = sweeps_over({angles, 0.0, 0.0}, dice);
    EXPECT_LT(typical(lines, find_scatter(lines).model), 0.01) << angles << " angles";
  }
}

TEST(Scatter, keeps_wild_readings_out_and_names_them) {
  Dice dice(5);
  std::vector<SweepLine> lines = sweeps_over({41}, dice);
  const double before = typical(lines, find_scatter(lines).model);
  lines[3].speed_m_s[20] += 1.5;
  lines[2].speed_m_s[9] += 0.8;
  const Scatter found = find_scatter(lines);
  ASSERT_EQ(found.strays.size(), 2U);
  EXPECT_EQ(found.strays[0].line, 2U);
  EXPECT_EQ(found.strays[0].reading, 9U);
  EXPECT_EQ(found.strays[1].line, 3U);
  EXPECT_EQ(found.strays[1].reading, 20U);
  EXPECT_GT(found.strays[1].z_score, 4.0);
  EXPECT_NEAR(found.strays[1].expected_m_s, lines[3].speed_m_s[20] - 1.5, 0.4);
  EXPECT_NEAR(typical(lines, found.model) / before, 1.0, 0.1);
}

TEST(Scatter, stays_at_its_prior_when_nothing_speaks) {
  const Scatter none = find_scatter({});
  EXPECT_EQ(none.freedom, 0.0);
  EXPECT_EQ(none.model.offset_m_s, NoiseModel{}.offset_m_s);
  SweepLine line;
  line.position = {0.0, 0.1, 0.2, 0.3, 0.4};
  line.speed_m_s = {0.5, 1.9, 0.7, 2.4, 0.4};
  line.usable.assign(5, true);
  const Scatter few = find_scatter(std::vector{line});
  EXPECT_GT(few.model.offset_m_s, 0.004);
  EXPECT_LT(few.model.sd_m_s(2.0), 0.6);
}

TEST(Scatter, does_not_care_for_the_unit_of_the_positions) {
  Dice dice(7);
  std::vector<SweepLine> lines = sweeps_over({41}, dice);
  const Scatter radians = find_scatter(lines);
  for (SweepLine& line : lines) {
    for (double& p : line.position) {
      p *= 57.29577951308232;
    }
  }
  const Scatter degrees = find_scatter(lines);
  EXPECT_NEAR(degrees.model.offset_m_s / radians.model.offset_m_s, 1.0, 0.02);
  EXPECT_NEAR(degrees.model.share / radians.model.share, 1.0, 0.05);
}

TEST(RunningMean, shortens_at_the_ends) {
  const std::vector<double> values{1.0, 4.0, 7.0, 1.0};
  EXPECT_EQ(running_mean(values), (std::vector<double>{2.5, 4.0, 4.0, 4.0}));
  EXPECT_TRUE(running_mean({}).empty());
  EXPECT_EQ(running_mean(std::vector<double>{3.0}), std::vector<double>{3.0});
}

}  // namespace
}  // namespace sweepflux
