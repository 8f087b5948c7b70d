#include "sweepflux/integrate/rings.hpp"

#include "sweepflux/base/error.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
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

}  // namespace
}  // namespace sweepflux
