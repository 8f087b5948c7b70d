#include "sweepflux/rank/service_value.hpp"

#include "sweepflux/base/error.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace sweepflux {
namespace {

constexpr double peak_m_s = 4.0;
constexpr double half_m = 0.15;

double gauss(double r2_m2) { return peak_m_s * std::exp2(-r2_m2 / (half_m * half_m)); }

/// A round Gaussian jet as one plane with map and sweeps. Q is closed: pi/ln2 U r^2.
SurveyResult jet(double centre_y_m = 0.0) {
  SurveyResult result;
  result.survey.outlet.diameter_m = 0.4;
  result.survey.outlet.centre_height_m = 1.0;
  result.survey.outlet.power_w = Measured{40.0, 0.4};
  PlaneResult plane;
  plane.downstream_m = 1.2;
  plane.map = {-1.0, 0.0, 0.02, 101, 101, {}, {}, {}};
  for (std::size_t iz = 0; iz < 101; ++iz) {
    for (std::size_t iy = 0; iy < 101; ++iy) {
      const double y = -1.0 + 0.02 * static_cast<double>(iy) - centre_y_m;
      const double z = 0.02 * static_cast<double>(iz) - 1.0;
      plane.map.speed_m_s.push_back(gauss(y * y + z * z));
    }
  }
  const double q = std::numbers::pi / std::numbers::ln2 * peak_m_s * half_m * half_m;
  plane.volume_flow_m3_s = {q, 0.01, q - 0.02, q + 0.02};
  plane.samples.outlet_centre = {0.0, 1.0};
  plane.samples.sweeps = {{"low", {}, 0.8, 0, 0}, {"axis", {}, 1.0, 0, 0}};
  for (int sweep = 0; sweep < 2; ++sweep) {
    for (int i = -50; i <= 50; ++i) {
      const double y = 0.02 * i;
      const double z = sweep == 0 ? 0.2 : 0.0;
      Sample s;
      s.at = {y, 1.0 - z};
      s.speed_m_s = gauss((y - centre_y_m) * (y - centre_y_m) + z * z);
      s.sweep = sweep;
      plane.samples.samples.push_back(s);
    }
  }
  result.planes = {plane};
  return result;
}

TEST(service_value, rings_of_a_round_jet_give_what_lies_above_the_limit) {
  // Inside the radius where the speed is 0.4 m/s a Gaussian jet carries (1 - 0.4 / U) of its flow
  // (closed form); rings of 40 mm end at one of their edges, and the midpoint rule is good to a
  // few per cent here.
  const auto v = service_value(jet());
  ASSERT_TRUE(v);
  const double exact = v->map_flow_m3_s.value * (1.0 - 0.4 / peak_m_s);
  EXPECT_NEAR(v->rings.flow_m3_s, exact, 0.03 * exact);
  EXPECT_NEAR(v->map_flow_above_limit_m3_s, exact, 0.01 * exact);
  EXPECT_EQ(v->height_m, 1.0);
  EXPECT_FALSE(v->rings.ran_out);
  EXPECT_NEAR(v->rings.edge_left_m, v->rings.edge_right_m, 1e-12);
  // By hand: r = 0.15 sqrt(log2(10)) = 0.273 m, so the station at 0.26 m is the last: 7 rings.
  EXPECT_EQ(v->rings.rings, 7u);
}

TEST(service_value, is_cubic_metres_a_minute_per_watt) {
  const auto v = service_value(jet());
  ASSERT_TRUE(v && v->ring_value_m3_min_w && v->map_value_m3_min_w);
  EXPECT_NEAR(v->ring_value_m3_min_w->value, v->rings.flow_m3_s * 60.0 / 40.0, 1e-12);
  EXPECT_NEAR(v->map_value_m3_min_w->value, v->map_flow_m3_s.value * 60.0 / 40.0, 1e-12);
  EXPECT_FALSE(v->differences.empty());
}

TEST(service_value, the_rings_flow_is_as_unsure_as_its_readings_and_their_probe) {
  SurveyResult result = jet();
  result.planes[0].samples.sweep_gain_sd = 0.0;
  result.planes[0].samples.common.scale = 0.03;
  const auto v = service_value(result);
  ASSERT_TRUE(v);
  // A scale error of 3 % makes the flow of rings inside a fixed edge 3 % wrong.
  EXPECT_NEAR(v->ring_uncertainty_m3_s, 0.03 * v->rings.flow_m3_s, 1e-12);
  const Measured& value = *v->ring_value_m3_min_w;
  EXPECT_NEAR(value.standard_uncertainty / value.value, std::hypot(0.03, 0.01), 1e-9);
  // Noise of single readings averages over them: less than their own share, more than nothing.
  result.planes[0].samples.common.scale = 0.0;
  for (Sample& s : result.planes[0].samples.samples) {
    s.noise_m_s = 0.1 * s.speed_m_s;
  }
  const double noisy = service_value(result)->ring_uncertainty_m3_s;
  EXPECT_GT(noisy, 0.01 * v->rings.flow_m3_s);
  EXPECT_LT(noisy, 0.06 * v->rings.flow_m3_s);
}

TEST(service_value, rings_misread_a_jet_beside_the_axis_and_say_so) {
  const auto v = service_value(jet(0.12));
  ASSERT_TRUE(v);
  EXPECT_GT(std::abs(v->rings.flow_m3_s - v->map_flow_above_limit_m3_s),
            0.1 * v->map_flow_above_limit_m3_s);
  EXPECT_NE(v->differences[1].find("lies beside the axis"), std::string::npos);
}

TEST(service_value, a_line_that_ends_in_the_stream_is_named) {
  const std::vector<double> at{-0.1, 0.0, 0.1}, speed{2.0, 3.0, 2.0};
  EXPECT_TRUE(ring_flow(at, speed).ran_out);
  EXPECT_EQ(ring_flow(at, speed).rings, 3u);  // stations at 20, 60 and 100 mm
}

TEST(service_value, nothing_for_a_slot_or_without_planes) {
  SurveyResult slot = jet();
  slot.survey.outlet.shape = OutletShape::slot;
  EXPECT_FALSE(service_value(slot));
  SurveyResult none = jet();
  none.planes.clear();
  EXPECT_FALSE(service_value(none));
  EXPECT_THROW((void)ring_flow(std::vector<double>{0.0}, std::vector<double>{1.0}), InputError);
}

}  // namespace
}  // namespace sweepflux
