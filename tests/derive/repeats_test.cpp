#include "sweepflux/derive/sample/repeats.hpp"

#include "sweepflux/derive/sample/samples.hpp"
#include "tests/support/dice.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

namespace sweepflux {
namespace {

std::vector<Sample> sweeps_of(const std::vector<double>& gains,
                              double noise_m_s,
                              test::Dice& dice) {
  std::vector<Sample> samples;
  for (std::size_t s = 0; s < gains.size(); ++s) {
    for (int i = 0; i < 41; ++i) {
      Sample sample;
      sample.at = {-0.6 + 0.03 * i, 0.9};
      const double v = 3.0 * std::exp2(-std::pow(sample.at.y_m / 0.18, 2));
      sample.speed_m_s = gains[s] * v + dice.normal(noise_m_s);
      sample.noise_m_s = noise_m_s;
      sample.sweep = static_cast<int>(s);
      samples.push_back(sample);
    }
  }
  return samples;
}

TEST(Repeats, keep_the_default_where_nothing_repeats) {
  test::Dice dice(1);
  const SweepGains gains =
      find_sweep_gains(sweeps_of({1.0, 1.1}, 0.0, dice), std::vector{0.7, 0.9});
  EXPECT_EQ(gains.freedom, 0.0);
  EXPECT_EQ(gains.sd, 0.01);
  EXPECT_EQ(gains.gain, (std::vector<double>{1.0, 1.0}));
}

TEST(Repeats, find_the_gain_of_each_sweep_against_its_group) {
  test::Dice dice(1);
  const SweepGains gains = find_sweep_gains(sweeps_of({1.02, 1.0, 0.98, 1.0}, 0.0, dice),
                                            std::vector{0.9, 0.9005, 0.9, 1.2});
  EXPECT_EQ(gains.freedom, 2.0);
  EXPECT_NEAR(gains.gain[0], 1.02, 1e-9);
  EXPECT_NEAR(gains.gain[2], 0.98, 1e-9);
  EXPECT_EQ(gains.gain[3], 1.0);
  // Two degrees of freedom hold 2 * 0.02^2, the default one of 0.01^2.
  EXPECT_NEAR(gains.sd, std::sqrt((0.0001 + 0.0008) / 3.0), 1e-9);
}

TEST(Repeats, do_not_take_noise_for_drift) {
  double steady = 0.0;
  double drifting = 0.0;
  for (std::uint64_t seed = 1; seed <= 30; ++seed) {
    test::Dice dice(seed);
    const std::vector<double> heights(8, 0.9);
    steady += find_sweep_gains(sweeps_of(std::vector(8, 1.0), 0.2, dice), heights).sd / 30;
    std::vector<double> gains;
    for (int i = 0; i < 8; ++i) {
      gains.push_back(1.0 + dice.normal(0.05));
    }
    drifting += find_sweep_gains(sweeps_of(gains, 0.2, dice), heights).sd / 30;
  }
  EXPECT_LT(steady, 0.02);  // the noise alone scatters the sums by 4 %
  EXPECT_NEAR(drifting, 0.05, 0.012);
}

TEST(Repeats, compare_over_common_positions_only) {
  test::Dice dice(1);
  std::vector<Sample> samples = sweeps_of({1.0, 1.0}, 0.0, dice);
  std::erase_if(samples, [](const Sample& s) { return s.sweep == 1 && s.at.y_m > 0.2; });
  const SweepGains gains = find_sweep_gains(samples, std::vector{0.9, 0.9});
  EXPECT_NEAR(gains.gain[1], 1.0, 1e-9);
}

}  // namespace
}  // namespace sweepflux
