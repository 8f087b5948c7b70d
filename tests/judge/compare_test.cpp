#include "sweepflux/rank/compare.hpp"

#include "sweepflux/base/error.hpp"
#include "tests/support/compared_fans.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

using test::on_balance;
using test::plane;

const Ranking& ranking_by(const Comparison& c, Criterion criterion) {
  return *std::find_if(c.rankings.begin(), c.rankings.end(), [&](const Ranking& r) {
    return r.criterion == criterion;
  });
}

TEST(compare, a_large_difference_ranks_and_a_small_one_shares_a_place) {
  const Comparison c = compare({on_balance("heron", "3", 1.00, 0.01),
                                on_balance("teal", "3", 0.99, 0.01),
                                on_balance("wren", "3", 0.50, 0.01)});
  const Ranking& r = ranking_by(c, Criterion::thrust);
  ASSERT_EQ(r.rows.size(), 3u);
  EXPECT_EQ(c.entries[r.rows[0].entry].fan, "heron");
  EXPECT_EQ(r.rows[0].place, 1u);
  EXPECT_EQ(r.rows[1].place, 1u);  // 0.01 apart with u 0.014: no difference, one place
  EXPECT_EQ(r.rows[2].place, 3u);  // two are surely better
  EXPECT_FALSE(r.differences[0].different);
  EXPECT_TRUE(r.differences[1].different);
  // The difference by hand [JCGM 100, 5.1.2]: sqrt(0.01^2 + 0.01^2).
  EXPECT_NEAR(r.differences[0].difference.standard_uncertainty, std::sqrt(2.0) * 0.01, 1e-12);
  EXPECT_EQ(c.summary.front(),
            "Highest thrust: heron at 3, 1.000 +- 0.010 N, not different from teal at 3 at 95 %.");
}

TEST(compare, what_all_share_cancels_only_when_it_is_said_to_be_shared) {
  auto a = on_balance("heron", "3", 1.00, 0.03);
  auto b = on_balance("teal", "3", 0.95, 0.03);
  a.lever_share = b.lever_share = 0.029;
  CompareOptions options;
  EXPECT_FALSE(ranking_by(compare({a, b}, options), Criterion::thrust).differences[0].different);
  options.shared.same_balance = true;
  const Difference d = ranking_by(compare({a, b}, options), Criterion::thrust).differences[0];
  EXPECT_TRUE(d.different);
  const double own = 0.03 * 0.03 - 0.029 * 0.029;
  const double own_b = 0.03 * 0.03 - 0.029 * 0.029 * 0.95 * 0.95;
  EXPECT_NEAR(d.difference.standard_uncertainty,
              std::sqrt(own + own_b + 0.05 * 0.05 * 0.029 * 0.029),
              1e-12);
}

TEST(compare, no_two_on_one_place_can_be_distinguished) {
  // The vague one differs from neither, but those two differ.
  const Comparison c = compare({on_balance("heron", "1", 1.00, 0.01),
                                on_balance("teal", "1", 0.95, 0.20),
                                on_balance("wren", "1", 0.90, 0.01)});
  const Ranking& r = ranking_by(c, Criterion::thrust);
  EXPECT_EQ(r.rows[0].place, 1u);
  EXPECT_EQ(r.rows[1].place, 1u);
  EXPECT_EQ(r.rows[2].place, 3u);
  for (std::size_t i = 0; i < r.rows.size(); ++i) {
    for (std::size_t j = 0; j < i; ++j) {
      if (r.rows[i].place == r.rows[j].place) {
        EXPECT_FALSE(difference_of(r.rows[j], r.rows[i]).different);
      }
    }
  }
}

TEST(compare, order_of_entries_does_not_change_places) {
  std::vector<FanAtSetting> entries;
  for (int i = 0; i < 6; ++i) {
    entries.push_back(on_balance("f" + std::to_string(i), "1", 0.5 + 0.07 * i, 0.02, 20.0 + i));
  }
  const Comparison a = compare(entries);
  std::reverse(entries.begin(), entries.end());
  const Comparison b = compare(entries);
  for (const Criterion criterion : {Criterion::thrust, Criterion::thrust_per_watt}) {
    const Ranking& ra = ranking_by(a, criterion);
    const Ranking& rb = ranking_by(b, criterion);
    for (std::size_t i = 0; i < ra.rows.size(); ++i) {
      EXPECT_EQ(a.entries[ra.rows[i].entry].fan, b.entries[rb.rows[i].entry].fan);
      EXPECT_EQ(ra.rows[i].place, rb.rows[i].place);
    }
  }
}

TEST(compare, lowest_centreline_speed_puts_the_slowest_first) {
  const Comparison c =
      compare({on_balance("heron", "9", 1.5, 0.01), on_balance("heron", "1", 0.1, 0.005)});
  const Ranking& r = ranking_by(c, Criterion::lowest_centreline_speed);
  EXPECT_EQ(c.entries[r.rows[0].entry].setting, "1");
  EXPECT_TRUE(r.rows[0].predicted);
  EXPECT_LT(r.rows[0].value.value, r.rows[1].value.value);
}

TEST(compare, a_map_is_used_where_there_is_one_and_the_prediction_elsewhere) {
  auto mapped = on_balance("heron", "3", 1.0, 0.01);
  mapped.planes = {plane(1.5, 0.45, 0.02, 0.95, 0.03)};
  const Comparison c = compare({mapped, on_balance("teal", "3", 1.0, 0.01)});
  EXPECT_EQ(c.distances_m, std::vector<double>{1.5});
  const Ranking& r = ranking_by(c, Criterion::flow);
  ASSERT_EQ(r.rows.size(), 2u);
  for (const Ranked& row : r.rows) {
    const bool heron = c.entries[row.entry].fan == "heron";
    EXPECT_EQ(row.predicted, !heron);
    if (heron) {
      EXPECT_NEAR(row.value.value, 0.45, 1e-12);
    }
  }
  EXPECT_TRUE(c.predicted[0].shape.fitted);
  EXPECT_FALSE(c.predicted[1].shape.fitted);
}

TEST(compare, a_fan_on_the_balance_at_many_settings_borrows_the_shape_mapped_at_one) {
  auto mapped = on_balance("heron", "3", 1.0, 0.01);
  mapped.planes = {plane(1.5, 0.45, 0.02, 0.95, 0.03), plane(2.5, 0.72, 0.02, 0.94, 0.03)};
  const Comparison c = compare({mapped, on_balance("heron", "6", 4.0, 0.01)});
  ASSERT_EQ(c.predicted.size(), 2u);
  EXPECT_TRUE(c.predicted[1].shape.fitted);
  // Four times the thrust: twice the speed everywhere.
  EXPECT_NEAR(c.predicted[1].along[0].centre_speed_m_s.value,
              2.0 * c.predicted[0].along[0].centre_speed_m_s.value,
              1e-9);
}

TEST(compare, growth_gives_the_published_entrainment_of_an_ideal_jet) {
  // Ricou & Spalding 1961: Q = 0.282 x sqrt(M / rho).
  auto e = on_balance("heron", "3", 1.0, 0.005);
  const double v = std::sqrt(1.0 / 1.2);
  for (const double x : {1.0, 2.0, 3.0}) {
    e.planes.push_back(plane(x, 0.282 * x * v, 0.01, 1.0, 0.02, 0.01));
  }
  const Growth g = growth_of(e);
  ASSERT_TRUE(g.entrainment && g.per_metre_m2_s && g.outlet_flow_m3_s);
  EXPECT_NEAR(g.entrainment->value, 0.282, 1e-9);
  EXPECT_NEAR(g.per_metre_m2_s->value, 0.282 * v, 1e-9);
  ASSERT_EQ(g.dragged_m3_s.size(), 3u);
  EXPECT_NEAR(g.dragged_m3_s[2].value, 0.282 * 3.0 * v - g.outlet_flow_m3_s->value, 1e-9);
}

TEST(compare, one_plane_tells_no_growth_but_does_tell_the_air_dragged_along) {
  auto e = on_balance("heron", "3", 1.0, 0.005);
  e.planes = {plane(2.0, 0.5, 0.02, 0.95, 0.02)};
  const Growth g = growth_of(e);
  EXPECT_FALSE(g.per_metre_m2_s);
  ASSERT_EQ(g.dragged_m3_s.size(), 1u);
}

TEST(compare, entries_that_do_not_tell_a_quantity_are_named_and_not_ranked) {
  auto no_power = on_balance("heron", "3", 1.0, 0.01);
  auto with_power = on_balance("teal", "3", 0.9, 0.01, 30.0);
  const Comparison c = compare({no_power, with_power});
  const Ranking& r = ranking_by(c, Criterion::thrust_per_watt);
  ASSERT_EQ(r.rows.size(), 1u);
  ASSERT_EQ(r.missing.size(), 1u);
  EXPECT_EQ(c.entries[r.missing[0]].fan, "heron");
}

TEST(compare, settings_are_sorted_as_numbers) {
  const Comparison c = compare({on_balance("heron", "10", 2.0, 0.01),
                                on_balance("heron", "9", 1.8, 0.01),
                                on_balance("heron", "2", 0.4, 0.01)});
  EXPECT_EQ(c.entries[0].setting, "2");
  EXPECT_EQ(c.entries[1].setting, "9");
  EXPECT_EQ(c.entries[2].setting, "10");
}

TEST(compare, what_makes_no_sense_is_refused) {
  EXPECT_THROW((void)compare({}), InputError);
  EXPECT_THROW((void)compare({on_balance("", "1", 1.0, 0.1)}), InputError);
  CompareOptions options;
  options.distances_m = {-1.0};
  EXPECT_THROW((void)compare({on_balance("heron", "1", 1.0, 0.1)}, options), InputError);
  options = {};
  options.wished_speeds_m_s = {0.0};
  EXPECT_THROW((void)compare({on_balance("heron", "1", 1.0, 0.1)}, options), InputError);
}

std::vector<FanAtSetting> two_square_law_fans() {
  // Thrust by the square of the setting, as fan laws have it: T = k s^2.
  std::vector<FanAtSetting> entries;
  for (const int s : {3, 6, 9}) {
    entries.push_back(on_balance("heron", std::to_string(s), 0.02 * s * s, 0.004));
    entries.push_back(on_balance("teal", std::to_string(s), 0.01 * s * s, 0.004));
  }
  return entries;
}

TEST(equal_thrust, follows_the_fan_law_between_settings) {
  const auto pairs = equal_thrust_of(two_square_law_fans(), "heron", "teal", false);
  ASSERT_EQ(pairs.size(), 3u);
  // 0.02 * 6^2 = 0.72 = 0.01 * s^2: s = 8.485.
  EXPECT_EQ(pairs[1].setting, "6");
  ASSERT_EQ(pairs[1].match, ThrustMatch::between);
  EXPECT_NEAR(pairs[1].other_setting.value, std::sqrt(72.0), 1e-9);
  // Uncertainty by hand: both thrusts over the slope dT/ds = 2 * 0.01 * s, plus the rectangular gap to
  // the straight line between 6 and 9.
  const double s = std::sqrt(72.0);
  const double w = (s - 6.0) / 3.0;
  const double other = 0.004 * std::hypot(1.0 - w, w);
  const double straight = 6.0 + 3.0 * (0.72 - 0.36) / (0.81 - 0.36);
  const double shape = std::abs(s - straight) / std::sqrt(12.0);
  EXPECT_NEAR(pairs[1].other_setting.standard_uncertainty,
              std::hypot(std::hypot(0.004, other) / (0.02 * s), shape),
              1e-9);
  // A switch with steps has no 8.5: the words keep to its steps.
  EXPECT_NE(pairs[1].words.find("heron at 6 has a thrust between those of teal at 6 and at 9; the "
                                 "nearest is teal at 9"),
            std::string::npos)
      << pairs[1].words;
  EXPECT_EQ(pairs[2].match, ThrustMatch::above_all);
  EXPECT_NE(pairs[2].words.find("more thrust than teal at any"), std::string::npos);
}

TEST(equal_thrust, outside_the_others_range_it_says_so) {
  const auto pairs = equal_thrust_of(two_square_law_fans(), "teal", "heron", false);
  EXPECT_EQ(pairs[0].match, ThrustMatch::below_all);
  EXPECT_NE(pairs[0].words.find("less thrust than heron at any"), std::string::npos);
}

TEST(equal_thrust, a_thrust_that_rises_and_falls_is_not_inverted) {
  std::vector<FanAtSetting> entries{on_balance("heron", "1", 0.5, 0.01)};
  for (const auto& [s, t] : {std::pair{1, 0.3}, {2, 0.7}, {3, 0.3}}) {
    entries.push_back(on_balance("teal", std::to_string(s), t, 0.01));
  }
  const auto pairs = equal_thrust_of(entries, "heron", "teal", false);
  EXPECT_EQ(pairs[0].match, ThrustMatch::several);
  EXPECT_NE(pairs[0].words.find("more than one place"), std::string::npos);
}

TEST(equal_thrust, settings_that_are_names_are_left_to_the_nearest) {
  std::vector<FanAtSetting> entries{on_balance("heron", "1", 0.5, 0.01),
                                    on_balance("teal", "low", 0.3, 0.01),
                                    on_balance("teal", "high", 0.9, 0.01)};
  const auto pairs = equal_thrust_of(entries, "heron", "teal", false);
  EXPECT_EQ(pairs[0].nearest_written, "low");
  EXPECT_FALSE(pairs[0].nearest_equal);
  EXPECT_NE(pairs[0].words.find("cannot be interpolated"), std::string::npos);
}

}  // namespace
}  // namespace sweepflux
