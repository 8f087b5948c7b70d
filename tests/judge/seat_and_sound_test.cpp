#include "sweepflux/rank/compare.hpp"
#include "sweepflux/rank/draught_rating.hpp"
#include "tests/support/compared_fans.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

using test::on_balance;
using test::plane;

FanAtSetting observed(FanAtSetting e, double level_db) {
  e.sound = SoundLevel{{level_db, 1.0}, 1.0};
  return e;
}

TEST(equal_sound, runs_straight_in_the_logarithm_and_counts_the_levels_uncertainty) {
  // A fan whose thrust doubles in 6 dB, one that is 3 dB louder at each thrust.
  const std::vector<FanAtSetting> entries{observed(on_balance("heron", "1", 0.5, 0.001), 36.0),
                                          observed(on_balance("heron", "2", 1.0, 0.001), 42.0),
                                          observed(on_balance("teal", "1", 0.5, 0.001), 39.0),
                                          observed(on_balance("teal", "2", 1.0, 0.001), 45.0)};
  CompareOptions options;
  options.sound_level_db = 40.0;
  const Comparison c = compare(entries, options);
  ASSERT_EQ(c.equal_sounds.size(), 2u);
  const double slope = std::log(2.0) / 6.0;
  EXPECT_NEAR(c.equal_sounds[0].thrust_n->value, 0.5 * std::exp(slope * 4.0), 1e-9);
  EXPECT_NEAR(c.equal_sounds[1].thrust_n->value, 0.5 * std::exp(slope * 1.0), 1e-9);
  EXPECT_NEAR(c.equal_sounds[0].thrust_n->standard_uncertainty,
              c.equal_sounds[0].thrust_n->value * slope,
              1e-3);
  EXPECT_EQ(c.equal_sounds[0].where, "heron between 1 and 2");
  const auto by_sound = std::find_if(c.rankings.begin(), c.rankings.end(), [](const Ranking& r) {
    return r.criterion == Criterion::thrust_at_sound;
  });
  ASSERT_NE(by_sound, c.rankings.end());
  EXPECT_EQ(by_sound->rows.front().where, "heron between 1 and 2");
}

TEST(equal_sound, nothing_is_carried_past_a_fans_settings_or_to_another_meter) {
  std::vector<FanAtSetting> entries{observed(on_balance("heron", "1", 0.5, 0.01), 36.0),
                                    observed(on_balance("heron", "2", 1.0, 0.01), 42.0),
                                    observed(on_balance("teal", "1", 0.5, 0.01), 50.0),
                                    observed(on_balance("teal", "2", 0.9, 0.01), 55.0),
                                    observed(on_balance("wren", "1", 0.5, 0.01), 30.0),
                                    observed(on_balance("wren", "2", 0.5, 0.01), 41.0)};
  entries[4].sound->distance_m = entries[5].sound->distance_m = 3.0;
  CompareOptions options;
  options.sound_level_db = 40.0;
  const Comparison c = compare(entries, options);
  ASSERT_EQ(c.equal_sounds.size(), 1u);
  EXPECT_EQ(c.equal_sounds.front().series, "heron");
}

TEST(seat, one_that_the_files_share_is_asked_of_settings_that_were_only_weighed) {
  FanAtSetting mapped = on_balance("heron", "3", 1.0, 0.01);
  mapped.seat = Seat{3.0, 0.0, 0.9, 0.6};
  const FanAtSetting weighed = on_balance("heron", "1", 0.1, 0.01);
  const FanAtSetting other = on_balance("teal", "1", 0.2, 0.01);
  EXPECT_EQ(compare({mapped, weighed, other}).seats.size(), 3u);
  // Another seat for another fan: each fan keeps its own, and a third has none.
  FanAtSetting elsewhere = other;
  elsewhere.seat = Seat{2.0, 0.0, 0.9, 0.6};
  const Comparison c =
      compare({mapped, weighed, elsewhere, on_balance("wren", "1", 0.1, 0.01)});
  ASSERT_EQ(c.seats.size(), 3u);
  for (const SeatSpeed& s : c.seats) {
    EXPECT_EQ(s.seat.distance_m, c.entries[s.entry].fan == "teal" ? 2.0 : 3.0);
  }
}

TEST(seat, a_stream_that_may_have_no_width_yet_still_has_a_speed_there) {
  FanAtSetting e = on_balance("heron", "3", 0.5, 0.01);
  e.air_temperature_k = Measured{295.15, 0.5};
  e.outlet->diameter_m = 0.51;
  e.outlet->centre_height_m = 1.0;
  CompareOptions options;
  options.seat = Seat{2.5, 0.0, 1.1, std::nullopt};
  const SeatSpeed speed = compare({e}, options).seats.at(0);
  EXPECT_GT(speed.speed_m_s.value, 0.5);
  EXPECT_EQ(speed.speed_m_s.low_95, 0.0);
  EXPECT_GT(speed.speed_m_s.high_95, speed.speed_m_s.value);
  ASSERT_TRUE(speed.draught_rating_percent);
}

TEST(seat, a_map_there_is_read_off_and_elsewhere_the_prediction_falls_with_distance_off_axis) {
  FanAtSetting e = on_balance("heron", "3", 1.0, 0.01);
  e.air_temperature_k = Measured{295.15, 0.5};
  PlaneFacts p = plane(1.5, 0.5, 0.02, 0.98, 0.03);
  p.map.ny = p.map.nz = 3;
  p.map.step_m = 0.5;
  p.map.y_min_m = -0.5;
  p.map.z_min_m = 0.4;
  p.map.speed_m_s = {0, 0, 0, 0.2, 2.0, 0.4, 0, 0, 0};
  p.map.uncertainty_m_s.assign(9, 0.05);
  e.planes = {p};
  CompareOptions options;
  options.seat = Seat{1.5, 0.25, 0.9, std::nullopt};
  const Comparison mapped = compare({e}, options);
  ASSERT_EQ(mapped.seats.size(), 1u);
  EXPECT_TRUE(mapped.seats[0].mapped);
  EXPECT_NEAR(mapped.seats[0].speed_m_s.value, 1.2, 1e-9);
  ASSERT_TRUE(mapped.seats[0].draught_rating_percent);
  EXPECT_NEAR(mapped.seats[0].draught_rating_percent->value,
              draught_rating_percent(22.0, 1.2, usual_turbulence),
              1e-9);
  options.seat = Seat{4.0, 0.0, 0.9, std::nullopt};
  const SeatSpeed on_axis = compare({e}, options).seats.at(0);
  EXPECT_FALSE(on_axis.mapped);
  const Comparison c = compare({e}, options);
  const StreamPrediction there = predict_stream(c.predicted[0].source, c.predicted[0].shape, 4.0);
  EXPECT_NEAR(on_axis.speed_m_s.value, there.centre_speed_m_s.value, 1e-9);
  options.seat = Seat{4.0, there.half_width_m.value, 0.9, std::nullopt};
  const SeatSpeed beside = compare({e}, options).seats.at(0);
  EXPECT_NEAR(beside.speed_m_s.value, 0.5 * on_axis.speed_m_s.value, 1e-9);
  EXPECT_GT(beside.speed_m_s.standard_uncertainty / beside.speed_m_s.value,
            on_axis.speed_m_s.standard_uncertainty / on_axis.speed_m_s.value);
}

TEST(seat, the_setting_that_stays_below_a_wished_speed_does_so_at_95_percent) {
  std::vector<FanAtSetting> entries;
  for (int s = 1; s <= 6; ++s) {
    entries.push_back(on_balance("heron", std::to_string(s), 0.02 * s * s, 0.0005));
  }
  CompareOptions options;
  options.seat = Seat{4.0, 0.0, 0.9, 0.8};
  const Comparison c = compare(entries, options);
  ASSERT_EQ(c.seat_choices.size(), 1u);
  ASSERT_TRUE(c.seat_choices[0].entry);
  for (const SeatSpeed& s : c.seats) {
    const bool sure = s.speed_m_s.high_95 <= 0.8;
    EXPECT_EQ(sure, s.entry <= *c.seat_choices[0].entry);
  }
}

TEST(profiles, a_mapped_fan_is_carried_to_the_distance_with_a_wider_interval_but_not_too_far) {
  FanAtSetting e = on_balance("heron", "3", 1.0, 0.01);
  for (const double x : {1.0, 2.0}) {
    PlaneFacts p = plane(x, 0.3 * x, 0.01, 1.0, 0.02);
    Profile profile;
    profile.from_map = true;
    for (int i = -40; i <= 40; ++i) {
      const double y = 0.02 * i;
      profile.across_m.push_back(y);
      profile.speed_m_s.push_back(p.peak_speed_m_s *
                                  std::exp(-std::log(2.0) * y * y / std::pow(0.1 * x, 2)));
      profile.uncertainty_m_s.push_back(0.02 * profile.speed_m_s.back());
    }
    p.profile = profile;
    e.planes.push_back(p);
  }
  CompareOptions options;
  options.distances_m = {1.5, 2.0, 2.9, 3.5};
  const Comparison c = compare({e}, options);
  ASSERT_EQ(c.profiles.size(), 3u);  // 3.5 m is past one and a half times 2 m
  EXPECT_TRUE(c.profiles[0].carried_from_m);
  EXPECT_FALSE(c.profiles[1].carried_from_m);
  const auto peak = [](const ShownProfile& p) {
    return *std::max_element(p.profile.speed_m_s.begin(), p.profile.speed_m_s.end());
  };
  // This stream's peak goes as 3 / x; the law's virtual origin has a prior, so to a few per cent.
  EXPECT_NEAR(peak(c.profiles[0]), 2.0, 0.10);
  EXPECT_GT(c.profiles[2].profile.uncertainty_m_s[40] / c.profiles[2].profile.speed_m_s[40], 0.03);
}

}  // namespace
}  // namespace sweepflux
