#include "sweepflux/integrate/rings.hpp"

#include "sweepflux/base/error.hpp"
#include "tests/support/plain_table.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <string>
#include <utility>
#include <vector>

namespace sweepflux {
namespace {

struct Stations {
  std::vector<double> radius;
  std::vector<double> speed;
};

/// A Gaussian stream, peak 1 m/s, half width 1 m.
Stations gaussian(double first, double step, double reach) {
  Stations s;
  for (int i = 0; first + step * i <= reach + 1e-12; ++i) {
    s.radius.push_back(first + step * i);
    s.speed.push_back(std::exp2(-s.radius.back() * s.radius.back()));
  }
  return s;
}

TEST(Rings, GiveConstantSpeedTimesArea) {
  for (const double first : {0.0, 0.02}) {
    const Stations s = gaussian(first, 0.04, 0.5);
    const std::vector<double> constant(s.radius.size(), 2.5);
    const RingSum sum = ring_sum(s.radius, constant);
    const double outer = s.radius.back() + 0.02;
    EXPECT_NEAR(sum.area_m2, std::numbers::pi * outer * outer, 1e-12);
    EXPECT_NEAR(sum.flow_m3_s, 2.5 * sum.area_m2, 1e-12);
    EXPECT_NEAR(sum.square_m4_s2, 6.25 * sum.area_m2, 1e-12);
  }
}

TEST(Rings, HaveTheAreasOfStationsEveryFourInches) {
  // 10 CFR 430 appendix U: 0.0873 square feet in the middle, 0.698 k around (four inch pitch).
  const double pitch = 4.0 / 12.0;  // feet
  EXPECT_NEAR(ring_sum(std::vector{0.0, pitch}, std::vector{1.0, 0.0}).flow_m3_s, 0.0873, 5e-5);
  EXPECT_NEAR(ring_sum(std::vector{0.0, pitch, 2 * pitch}, std::vector{0.0, 0.0, 1.0}).flow_m3_s,
              2 * 0.698,
              5e-4);
}

TEST(Rings, AgreeWithTheClosedFormsOfAGaussianStream) {
  const double flow = std::numbers::pi / std::numbers::ln2;
  const RingSum sum = ring_sum(gaussian(0.25, 0.5, 3.0).radius, gaussian(0.25, 0.5, 3.0).speed);
  EXPECT_NEAR(sum.flow_m3_s / flow, 1.0, 0.03);
  const RingSum fine = ring_sum(gaussian(0.05, 0.1, 5.0).radius, gaussian(0.05, 0.1, 5.0).speed);
  EXPECT_NEAR(fine.flow_m3_s / flow, 1.0, 0.001);
  EXPECT_NEAR(fine.square_m4_s2 / (0.5 * flow), 1.0, 0.002);
}

TEST(Rings, RefuseRadiiThatDoNotRise) {
  EXPECT_THROW((void)ring_sum(std::vector{0.1, 0.1}, std::vector{1.0, 1.0}), InputError);
  EXPECT_THROW((void)ring_sum(std::vector{-0.1, 0.1}, std::vector{1.0, 1.0}), InputError);
  EXPECT_THROW((void)ring_sum(std::vector{0.1, 0.2}, std::vector{1.0}), InputError);
  EXPECT_THROW((void)ring_sum(std::vector{0.1, 0.2}, std::vector{1.0, std::nan("")}), InputError);
}

/// Mean by a rule over the exact mean of (1 - r/R)^(1/n): 2 n^2 / ((n + 1)(2 n + 1)).
double power_law_ratio(const std::vector<double>& radii, double n) {
  double mean = 0.0;
  for (const double r : radii) {
    mean += std::pow(1.0 - r, 1.0 / n) / static_cast<double>(radii.size());
  }
  return mean / (2.0 * n * n / ((n + 1.0) * (2.0 * n + 1.0)));
}

// Computed once by hand from the printed positions, for n = 5, 7, 9.
TEST(Traverse, RulesMeetThePowerLawAsTheirPositionsSay) {
  const auto expect = [](TraverseRule rule, int points, double five, double seven, double nine) {
    const std::vector<double> radii = traverse_radii(rule, points);
    EXPECT_NEAR(power_law_ratio(radii, 5), five, 6e-6);
    EXPECT_NEAR(power_law_ratio(radii, 7), seven, 6e-6);
    EXPECT_NEAR(power_law_ratio(radii, 9), nine, 6e-6);
  };
  expect(TraverseRule::log_tchebycheff, 3, 0.99437, 0.99674, 0.99786);
  expect(TraverseRule::log_tchebycheff, 4, 0.99615, 0.99776, 0.99853);
  expect(TraverseRule::log_tchebycheff, 5, 0.99716, 0.99832, 0.99889);
  expect(TraverseRule::log_linear, 3, 0.99526, 0.99730, 0.99826);
  expect(TraverseRule::log_linear, 4, 0.99878, 0.99936, 0.99964);
  expect(TraverseRule::log_linear, 5, 0.99748, 0.99852, 0.99903);
  expect(TraverseRule::equal_areas, 3, 1.01043, 1.00920, 1.00799);
  expect(TraverseRule::equal_areas, 4, 1.00762, 1.00681, 1.00595);
  expect(TraverseRule::equal_areas, 5, 1.00596, 1.00538, 1.00473);
}

TEST(Traverse, LinesMeetThePowerLawAsTheirPositionsSay) {
  const auto ratio = [](int lines, double n) {
    double mean = 0.0;
    for (const double share : traverse_lines(lines)) {
      mean += std::pow(2.0 * std::min(share, 1.0 - share), 1.0 / n) / lines;
    }
    return mean * (n + 1.0) / n;
  };
  EXPECT_NEAR(ratio(5, 5), 0.99742, 6e-6);
  EXPECT_NEAR(ratio(5, 7), 0.99902, 6e-6);
  EXPECT_NEAR(ratio(5, 9), 0.99968, 6e-6);
  EXPECT_NEAR(ratio(6, 7), 0.99776, 6e-6);
  EXPECT_NEAR(ratio(7, 7), 0.99960, 6e-6);
}

TEST(Traverse, RefusesCountsThatNoRuleKnows) {
  EXPECT_THROW((void)traverse_radii(TraverseRule::log_linear, 6), InputError);
  EXPECT_THROW((void)traverse_radii(TraverseRule::equal_areas, 0), InputError);
  EXPECT_THROW((void)traverse_lines(4), InputError);
}

/// Air in pipes with metered flow: V. E. Senecal, Carnegie Institute of Technology, 1951;
/// compiled by A. Trettel, CC-BY-4.0. One run: radii and speeds, outliers left out as marked.
struct PipeRun {
  double wall_radius = 0.0;
  double metered_mean = 0.0;
  std::map<double, double> speed;  // by radius
};

std::map<int, PipeRun> pipe_runs(const std::filesystem::path& shared) {
  const test::PlainTable table =
      test::read_plain_table(shared / "outside/pipe-traverses/profiles.csv");
  const std::vector<double> number = table.numbers("Run number");
  const std::vector<double> diameter = table.numbers("Pipe diameter [in]");
  const std::vector<double> mean = table.numbers("Average velocity [ft/s]");
  const std::vector<double> from_wall = table.numbers("Wall distance [in]");
  const std::vector<double> speed = table.numbers("Velocity [ft/s]");
  const std::vector<double> outlier = table.numbers("Outlier");
  std::map<int, PipeRun> runs;
  for (std::size_t i = 0; i < number.size(); ++i) {
    PipeRun& run = runs[static_cast<int>(number[i])];
    run.wall_radius = 0.5 * diameter[i];
    if (run.metered_mean == 0.0) {
      run.metered_mean = mean[i];  // run 26 changes it half way; the reference keeps the first
    }
    if (outlier[i] == 0.0) {
      run.speed[std::abs(run.wall_radius - from_wall[i])] = speed[i];
    }
  }
  return runs;
}

std::pair<std::vector<double>, std::vector<double>> columns(const PipeRun& run) {
  std::pair<std::vector<double>, std::vector<double>> result;
  for (const auto& [radius, speed] : run.speed) {
    result.first.push_back(radius);
    result.second.push_back(speed);
  }
  return result;
}

TEST(PipeTraverses, IntegrateToTheMeteredFlow) {
  SWEEPFLUX_NEED_SHARED(shared);
  std::map<int, PipeRun> runs = pipe_runs(shared);
  const test::PlainTable reference =
      test::read_plain_table(shared / "outside/pipe-traverses/integrals_reference.csv");
  const std::vector<double> number = reference.numbers("run");
  const std::vector<double> ratio = reference.numbers("trap_ratio");
  const std::vector<double> innermost = reference.numbers("r_min_over_R");
  const std::vector<double> pipe = reference.numbers("pipe_in");
  const std::vector<double> points = reference.numbers("points");
  ASSERT_EQ(number.size(), 53U);
  int integrated = 0;
  int refused = 0;
  int banded = 0;
  for (std::size_t i = 0; i < number.size(); ++i) {
    const PipeRun& run = runs.at(static_cast<int>(number[i]));
    const auto [radius, speed] = columns(run);
    if (innermost[i] > 0.3) {
      EXPECT_THROW((void)pipe_mean_speed_m_s(radius, speed, run.wall_radius), NumericalError);
      ++refused;
      continue;
    }
    const double mine = pipe_mean_speed_m_s(radius, speed, run.wall_radius) / run.metered_mean;
    EXPECT_NEAR(mine, ratio[i], 5e-4) << number[i];
    ++integrated;
    if (pipe[i] == 0.75 && points[i] >= 9 && radius[0] < 0.01 * run.wall_radius) {
      EXPECT_GT(mine, 0.98) << number[i];
      EXPECT_LT(mine, 1.03) << number[i];
      ++banded;
    }
  }
  EXPECT_EQ(integrated + refused, 53);
  EXPECT_GE(refused, 15);
  EXPECT_GE(banded, 6);
}

TEST(PipeTraverses, RefuseAPipeWhoseWallIsInsideTheReadings) {
  EXPECT_THROW((void)pipe_mean_speed_m_s(std::vector{0.0, 0.5}, std::vector{1.0, 1.0}, 0.5),
               InputError);
}

TEST(PipeTraverses, MeetTheParabolaOfLaminarFlow) {
  std::vector<double> radius;
  std::vector<double> speed;
  for (int i = 0; i < 100; ++i) {
    radius.push_back(0.01 * i);
    speed.push_back(1.0 - radius.back() * radius.back());
  }
  EXPECT_NEAR(pipe_mean_speed_m_s(radius, speed, 1.0), 0.5, 2e-4);
}

}  // namespace
}  // namespace sweepflux
