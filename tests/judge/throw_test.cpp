#include "sweepflux/rank/throw.hpp"

#include "sweepflux/base/error.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace sweepflux {
namespace {

StreamSource worked_example() {
  StreamSource source;
  source.thrust_n = {1.0, 0.01};
  source.density_kg_m3 = {1.2, 0.003};
  source.outlet.diameter_m = 0.40;
  return source;
}

TEST(throw_of, entrainment_is_the_published_one_of_a_free_round_jet) {
  // Ricou & Spalding 1961, J. Fluid Mech. 11:21: m = 0.282 x sqrt(rho M), given there also as
  // m/m0 = 0.32 x/d; the two differ by 0.6 % (rounding).
  const StreamSource source = worked_example();
  StreamLaw shape = textbook_law(source.outlet);
  shape.origin_m = {0.0, 0.0};
  const double x_m = 6.0;
  const StreamPrediction p = predict_stream(source, shape, x_m);
  EXPECT_NEAR(p.volume_flow_m3_s.value * 1.2, 0.282 * x_m * std::sqrt(1.2 * 1.0), 1e-9);
  const double outlet_flow = std::sqrt(std::numbers::pi / 4 * 0.16 * 1.0 / 1.2);
  EXPECT_NEAR(p.volume_flow_m3_s.value / outlet_flow, 0.32 * x_m / 0.40, 0.006 * 0.32 * x_m / 0.4);
}

TEST(throw_of, throw_constant_lies_in_the_published_band) {
  // Centre-line decay B 5.8 (Hussein, Capp & George 1994, J. Fluid Mech. 258:31) to 6.06
  // (Panchapakesan & Lumley 1993, J. Fluid Mech. 246:197) per diameter; per square root of the
  // area, the K of throw tables, that is B sqrt(4 / pi) = 6.5 to 6.8.
  const StreamLaw shape = textbook_law(worked_example().outlet);
  const double factor = std::sqrt(4.0 / std::numbers::pi);
  EXPECT_GT(shape.throw_constant.value, 5.8 * factor);
  EXPECT_LT(shape.throw_constant.value, 6.06 * factor);
  EXPECT_LT(shape.throw_constant.value - 2 * shape.throw_constant.standard_uncertainty,
            5.6 * factor);
}

TEST(throw_of, worked_example_gives_the_centre_speed_of_its_decay_law) {
  // T 1 N, D 0.40 m, rho 1.2: sqrt(T/(rho A)) = 2.575 m/s, sqrt(A T/rho) = 0.3236 m3/s; at 2 m
  // B = 5.8 gives 2.99 m/s, 0.282 gives 0.5149 m3/s (worked by hand from the laws named above).
  const StreamSource source = worked_example();
  EXPECT_NEAR(thrust_derived_flow_m3_s(source).value, 0.3236, 5e-5);
  EXPECT_NEAR(thrust_derived_flow_m3_s(source, std::sqrt(0.5)).value, 0.2288, 5e-5);
  StreamLaw shape = textbook_law(source.outlet);
  shape.origin_m = {0.0, 0.0};
  shape.throw_constant.value = 5.8 * std::sqrt(4.0 / std::numbers::pi);
  const StreamPrediction p = predict_stream(source, shape, 4.0);
  EXPECT_NEAR(p.centre_speed_m_s.value, 2.99 / 2.0, 0.005);
  EXPECT_NEAR(p.volume_flow_m3_s.value, 2.0 * 0.5149, 2e-4);
}

TEST(throw_of, measured_decay_of_a_consensus_jet_lies_in_the_band) {
  // Bridges & Wernet 2011, NASA/TM-2011-216807: 1/U = 0.13496 x/D - 0.0956 for x/D >= 12, not yet
  // self-similar; so it tests the band, not the value.
  StreamSource source = worked_example();
  source.thrust_n.standard_uncertainty = 0.0;
  source.density_kg_m3.standard_uncertainty = 0.0;
  const StreamLaw shape = textbook_law(source.outlet);
  const double outlet_m_s = std::sqrt(1.0 / (1.2 * std::numbers::pi / 4 * 0.16));
  for (const double x_over_d : {12.0, 16.0, 20.0}) {
    const StreamPrediction p = predict_stream(source, shape, x_over_d * 0.40);
    const double measured = 1.0 / (0.13496 * x_over_d - 0.0956);
    EXPECT_GT(measured, p.centre_speed_m_s.low_95 / outlet_m_s) << x_over_d;
    EXPECT_LT(measured, p.centre_speed_m_s.high_95 / outlet_m_s) << x_over_d;
    EXPECT_EQ(p.zone, StreamZone::developed);
  }
}

TEST(throw_of, centre_speed_never_exceeds_the_outlets_and_flow_is_never_less) {
  const StreamSource source = worked_example();
  const StreamLaw shape = textbook_law(source.outlet);
  const double outlet_m_s = std::sqrt(1.0 / (1.2 * std::numbers::pi / 4 * 0.16));
  double before = outlet_m_s + 1e-12;
  for (double x = 0.05; x < 12.0; x += 0.05) {
    const StreamPrediction p = predict_stream(source, shape, x);
    EXPECT_LE(p.centre_speed_m_s.value, before);
    before = p.centre_speed_m_s.value;
    EXPECT_GE(p.volume_flow_m3_s.value, thrust_derived_flow_m3_s(source).value);
    EXPECT_LE(p.centre_speed_m_s.low_95, p.centre_speed_m_s.value);
    EXPECT_GE(p.centre_speed_m_s.high_95, p.centre_speed_m_s.value);
    EXPECT_TRUE(std::isfinite(p.centre_speed_m_s.high_95));
  }
}

TEST(throw_of, throw_is_where_the_prediction_says_the_wished_speed) {
  const StreamSource source = worked_example();
  const StreamLaw shape = textbook_law(source.outlet);
  for (const double wished : {0.25, 0.5, 1.0, 2.0}) {
    const Throw thrown = throw_of(source, shape, wished);
    ASSERT_TRUE(thrown.downstream_m);
    const double x = thrown.downstream_m->value;
    EXPECT_NEAR(predict_stream(source, shape, x).centre_speed_m_s.value, wished, 1e-6);
    EXPECT_LT(thrown.downstream_m->low_95, x);
    EXPECT_GT(thrown.downstream_m->high_95, x);
  }
  EXPECT_FALSE(throw_of(source, shape, 3.0).downstream_m);
  EXPECT_NE(throw_of(source, shape, 3.0).words.find("never is that fast"), std::string::npos);
}

TEST(throw_of, twice_the_outlet_and_four_times_the_thrust_reach_twice_as_far) {
  // Dimensions alone: same outlet speed, all lengths doubled.
  StreamSource small = worked_example();
  StreamSource large = small;
  large.outlet.diameter_m *= 2.0;
  large.thrust_n = {4.0, 0.04};
  const Throw a = throw_of(small, textbook_law(small.outlet), 0.5);
  const Throw b = throw_of(large, textbook_law(large.outlet), 0.5);
  EXPECT_NEAR(b.downstream_m->value, 2.0 * a.downstream_m->value, 1e-6);
  EXPECT_NEAR(b.downstream_m->high_95, 2.0 * a.downstream_m->high_95, 1e-6);
}

TEST(throw_of, fit_finds_the_shape_that_made_the_planes) {
  const StreamSource source = worked_example();
  const double v = std::sqrt(1.0 / 1.2);
  std::vector<PlaneForLaw> planes;
  for (const double x : {1.5, 2.5, 3.5}) {
    PlaneForLaw p;
    p.downstream_m = x;
    p.half_width_m = 0.11 * (x + 0.2);
    p.peak_speed_m_s = 6.0 * v / (x + 0.2);
    p.volume_flow_m3_s = {0.30 * v * (x + 0.2), 0.002};
    p.momentum_flux_n = {0.95, 0.01};
    p.thrust_n = Measured{1.0, 0.01};
    planes.push_back(p);
  }
  const StreamLaw shape = fit_law(planes, source.density_kg_m3, source.outlet);
  EXPECT_TRUE(shape.fitted);
  EXPECT_NEAR(shape.spread.value, 0.11, 2.5 * shape.spread.standard_uncertainty);
  EXPECT_NEAR(shape.origin_m.value, -0.2, 2.5 * shape.origin_m.standard_uncertainty);
  EXPECT_LT(shape.origin_m.standard_uncertainty, 0.3);
  EXPECT_NEAR(shape.throw_constant.value, 6.0, 0.3);
  const StreamPrediction p = predict_stream(source, shape, 2.5);
  EXPECT_NEAR(p.centre_speed_m_s.value, planes[1].peak_speed_m_s, 0.03 * planes[1].peak_speed_m_s);
  EXPECT_NEAR(p.volume_flow_m3_s.value, planes[1].volume_flow_m3_s.value, 0.02);
  std::reverse(planes.begin(), planes.end());
  const StreamLaw again = fit_law(planes, source.density_kg_m3, source.outlet);
  EXPECT_NEAR(again.spread.value, shape.spread.value, 1e-12);
}

TEST(throw_of, one_plane_leaves_the_origin_as_open_as_the_textbook_does) {
  const StreamSource source = worked_example();
  PlaneForLaw p;
  p.downstream_m = 2.0;
  p.half_width_m = 0.19;
  p.peak_speed_m_s = 2.9;
  p.volume_flow_m3_s = {0.5, 0.02};
  p.momentum_flux_n = {0.95, 0.03};
  const StreamLaw shape = fit_law(std::vector{p}, source.density_kg_m3, source.outlet);
  const StreamLaw book = textbook_law(source.outlet);
  EXPECT_GT(shape.origin_m.standard_uncertainty, 0.5 * book.origin_m.standard_uncertainty);
  EXPECT_NE(shape.origin_words.find("one mapped plane"), std::string::npos);
}

TEST(throw_of, a_long_slot_slows_as_a_plane_jet_near_by_and_as_a_round_one_far_away) {
  StreamSource source = worked_example();
  source.outlet.shape = OutletShape::slot;
  source.outlet.width_m = 0.04;
  source.outlet.height_m = 0.80;
  const StreamLaw shape = textbook_law(source.outlet);
  const double outlet_m_s = std::sqrt(1.0 / (1.2 * 0.04 * 0.80));
  // Rajaratnam 1976: Uc/U0 = 2.4 to 2.6 sqrt(h/x).
  const double near = predict_stream(source, shape, 0.8).centre_speed_m_s.value / outlet_m_s;
  EXPECT_GT(near, 2.4 * std::sqrt(0.04 / 0.8));
  EXPECT_LT(near, 2.6 * std::sqrt(0.04 / 0.8));
  const double ratio = predict_stream(source, shape, 20.0).centre_speed_m_s.value /
                       predict_stream(source, shape, 40.0).centre_speed_m_s.value;
  EXPECT_NEAR(ratio, 2.0, 0.05);
}

TEST(throw_of, a_law_that_takes_over_brings_its_own_uncertainty) {
  StreamSource source = worked_example();
  source.outlet.shape = OutletShape::slot;
  source.outlet.width_m = 0.04;
  source.outlet.height_m = 0.80;
  const StreamPrediction p = predict_stream(source, textbook_law(source.outlet), 1.5);
  EXPECT_LT(p.volume_flow_m3_s.low_95, 0.9 * p.volume_flow_m3_s.value);
  EXPECT_GT(p.volume_flow_m3_s.high_95, 1.1 * p.volume_flow_m3_s.value);
  EXPECT_LT(p.centre_speed_m_s.low_95, 0.9 * p.centre_speed_m_s.value);
}

TEST(throw_of, a_known_room_lowers_the_low_end_and_says_where_it_ends) {
  StreamSource open = worked_example();
  StreamSource room = open;
  room.room.width_m = 4.0;
  room.room.height_m = 2.5;
  const StreamLaw shape = textbook_law(open.outlet);
  const StreamPrediction free = predict_stream(open, shape, 2.0);
  const StreamPrediction closed = predict_stream(room, shape, 2.0);
  EXPECT_EQ(free.centre_speed_m_s.value, closed.centre_speed_m_s.value);
  EXPECT_LT(closed.centre_speed_m_s.low_95, free.centre_speed_m_s.low_95);
  // 1 - 1/(1 + 0.119 x^2/A) at 2 m in 10 m2: 4.5 %.
  EXPECT_NEAR(closed.room_loss, 0.0454, 5e-4);
  EXPECT_EQ(predict_stream(room, shape, 2.6).zone, StreamZone::beyond_room);
  EXPECT_EQ(predict_stream(room, shape, 2.4).zone, StreamZone::developing);
}

TEST(throw_of, what_makes_no_sense_is_refused) {
  const StreamSource good = worked_example();
  const StreamLaw shape = textbook_law(good.outlet);
  StreamSource bad = good;
  bad.thrust_n.value = 0.0;
  EXPECT_THROW((void)predict_stream(bad, shape, 2.0), InputError);
  bad = good;
  bad.outlet.diameter_m = 0.0;
  EXPECT_THROW((void)predict_stream(bad, shape, 2.0), InputError);
  EXPECT_THROW((void)predict_stream(good, shape, 0.0), InputError);
  EXPECT_THROW((void)throw_of(good, shape, -1.0), InputError);
  EXPECT_THROW((void)fit_law({}, good.density_kg_m3, good.outlet), InputError);
}

}  // namespace
}  // namespace sweepflux
