#include "sweepflux/derive/sample/fewer_samples.hpp"

#include "sweepflux/base/error.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace sweepflux {
namespace {

PlaneSamples plane_of(int sweeps, int readings) {
  PlaneSamples p;
  p.distance_m = 1.8;
  for (int s = 0; s < sweeps; ++s) {
    p.sweeps.push_back({"row", {}, 1.0 + 0.1 * s, static_cast<std::size_t>(readings), 0});
    for (int i = 0; i < readings; ++i) {
      Sample x;
      x.at = {0.01 * i, 1.0 + 0.1 * s};
      x.speed_m_s = 1.0 + 0.5 * x.at.y_m;
      x.noise_m_s = 0.1;
      x.sweep = s;
      x.line = static_cast<std::size_t>(i + 2);
      x.censored = i < readings / 3;
      p.samples.push_back(x);
    }
  }
  return p;
}

TEST(FewerSamples, leaves_a_small_plane_as_it_is) {
  const PlaneSamples p = plane_of(3, 20);
  EXPECT_EQ(fewer_samples(p, 60).samples.size(), 60u);
  EXPECT_EQ(fewer_samples(p, 60).samples[7].speed_m_s, p.samples[7].speed_m_s);
}

TEST(FewerSamples, averages_neighbours_and_lowers_their_noise) {
  const PlaneSamples p = plane_of(2, 600);
  const PlaneSamples few = fewer_samples(p, 120);
  ASSERT_LE(few.samples.size(), 124u);
  ASSERT_GE(few.samples.size(), 116u);
  for (const Sample& s : few.samples) {
    EXPECT_NEAR(s.speed_m_s, 1.0 + 0.5 * s.at.y_m, 1e-12);  // a straight line stays one
    EXPECT_NEAR(s.noise_m_s, 0.1 / std::sqrt(10.0), 1e-12);
    EXPECT_EQ(s.censored, s.at.y_m < 1.995);
  }
  EXPECT_EQ(few.sweeps.front().readings, 600u);
}

TEST(FewerSamples, never_mixes_censored_readings_with_others) {
  const PlaneSamples few = fewer_samples(plane_of(1, 100), 8);  // cells of 12 or 13; 33 censored
  double censored = 0.0;
  for (const Sample& s : few.samples) {
    censored += s.censored ? std::round(0.01 / (s.noise_m_s * s.noise_m_s)) : 0.0;
  }
  EXPECT_EQ(censored, 33.0);
}

TEST(FewerSamples, refuses_more_sweeps_than_a_fit_can_take) {
  EXPECT_THROW((void)fewer_samples(plane_of(40, 10), 100), InputError);
}

}  // namespace
}  // namespace sweepflux
