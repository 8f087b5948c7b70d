#include "sweepflux/rank/combine_entries.hpp"

#include "sweepflux/rank/compare.hpp"
#include "tests/support/compared_fans.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

using test::on_balance;
using test::plane;

FanAtSetting from(FanAtSetting e, const std::string& source) {
  e.source = source;
  return e;
}

TEST(combine_entries, session_and_survey_of_one_setting_become_one_row_that_differs_from_the_others) {
  FanAtSetting survey = from(on_balance("heron", "3", 1.00, 0.01), "heron-3/survey.toml");
  survey.balance = "its own";
  survey.planes = {plane(1.5, 0.5, 0.02, 0.98, 0.03)};
  FanAtSetting session = from(on_balance("heron", "3", 1.02, 0.01), "day/session.toml");
  session.balance = "day/session.toml";
  const Comparison c = compare({survey, session});
  ASSERT_EQ(c.entries.size(), 1u);
  const FanAtSetting& row = c.entries.front();
  // Two independent balances of equal uncertainty: the mean, and the root of two less.
  EXPECT_NEAR(row.thrust_n->value, 1.01, 1e-9);
  EXPECT_NEAR(row.thrust_n->standard_uncertainty, 0.01 / std::sqrt(2.0), 1e-9);
  ASSERT_EQ(row.planes.size(), 1u);
  ASSERT_EQ(row.consistency.size(), 1u);
  EXPECT_TRUE(row.consistency.front().consistent);
  EXPECT_EQ(row.source, "heron-3/survey.toml + day/session.toml");
  // The map is what the flow's row shows, not the session's prediction.
  for (const Ranking& r : c.rankings) {
    ASSERT_EQ(r.rows.size(), 1u);
    EXPECT_FALSE(r.criterion == Criterion::flow && r.rows.front().predicted);
  }
}

TEST(combine_entries, one_lever_for_both_days_is_counted_once_and_not_averaged_down) {
  FanAtSetting first = from(on_balance("heron", "3", 1.0, std::hypot(0.01, 0.02)), "a");
  FanAtSetting second = from(on_balance("heron", "3", 1.0, std::hypot(0.01, 0.02)), "b");
  first.lever_share = second.lever_share = 0.02;
  first.balance = second.balance = "lever 1.37";
  const FanAtSetting row = combine_entries({first, second}).front();
  EXPECT_NEAR(
      row.thrust_n->standard_uncertainty, std::hypot(0.01 / std::sqrt(2.0), 0.02), 1e-9);
  EXPECT_NEAR(row.lever_share, 0.02, 1e-12);
  second.balance = "lever 2";
  EXPECT_NEAR(combine_entries({first, second}).front().thrust_n->standard_uncertainty,
              std::hypot(0.01, 0.02) / std::sqrt(2.0),
              1e-9);
}

TEST(combine_entries, days_that_differ_by_more_than_they_state_are_reported_and_widened) {
  const Comparison c = compare({from(on_balance("heron", "3", 1.00, 0.01), "a"),
                                from(on_balance("heron", "3", 1.10, 0.01), "b")});
  const FanAtSetting& row = c.entries.front();
  EXPECT_NEAR(row.thrust_n->standard_uncertainty, 0.05, 1e-9);
  ASSERT_EQ(row.consistency.size(), 1u);
  EXPECT_FALSE(row.consistency.front().consistent);
  EXPECT_NEAR(row.consistency.front().birge_ratio, 0.10 / (0.01 * std::sqrt(2.0)), 1e-9);
  const bool reported = std::any_of(c.warnings.begin(), c.warnings.end(), [](const std::string& w) {
    return w.find("differ by more than they state") != std::string::npos;
  });
  EXPECT_TRUE(reported);
}

TEST(combine_entries, quantities_that_disagree_make_one_note_a_row) {
  FanAtSetting first = from(on_balance("heron", "3", 1.00, 0.01), "a");
  FanAtSetting second = from(on_balance("heron", "3", 3.00, 0.01), "b");
  first.planes = {plane(1.5, 0.50, 0.02, 1.0, 0.03)};
  second.planes = {plane(1.5, 0.70, 0.02, 1.0, 0.03)};
  const Comparison c = compare({first, second});
  std::vector<std::string> notes;
  for (const std::string& w : c.warnings) {
    if (w.find("Birge") != std::string::npos) {
      notes.push_back(w);
    }
  }
  ASSERT_EQ(notes.size(), 1u);
  EXPECT_NE(notes[0].find("heron at 3: 2 measurements of the thrust differ"), std::string::npos)
      << notes[0];
  EXPECT_NE(notes[0].find("chance below 0.01 %"), std::string::npos) << notes[0];
  EXPECT_NE(notes[0].find("So do those of the volume flow at 1.5 m (Birge ratio"),
            std::string::npos)
      << notes[0];
}

TEST(combine_entries, planes_near_each_other_combine_and_others_stay) {
  FanAtSetting first = from(on_balance("heron", "3", 1.0, 0.01), "a");
  FanAtSetting second = from(on_balance("heron", "3", 1.0, 0.01), "b");
  second.thrust_n.reset();
  first.planes = {plane(1.5, 0.50, 0.02, 1.0, 0.03)};
  second.planes = {plane(1.53, 0.52, 0.02, 1.0, 0.03), plane(2.5, 0.8, 0.03, 1.0, 0.03)};
  const FanAtSetting row = combine_entries({first, second}).front();
  ASSERT_EQ(row.planes.size(), 2u);
  // Carried to 1.5 m the second flow is 0.52 / 1.02, known to 0.02 / 1.02.
  const double carried = 0.52 / 1.02, w = 1.02 * 1.02 / (1.0 + 1.02 * 1.02);
  EXPECT_NEAR(row.planes[0].volume_flow_m3_s.value, (1.0 - w) * 0.50 + w * carried, 1e-9);
  EXPECT_LT(row.planes[0].volume_flow_m3_s.standard_uncertainty, 0.0145);
  EXPECT_EQ(row.planes[1].volume_flow_m3_s.value, 0.8);
}

TEST(combine_entries, a_result_of_a_survey_that_is_there_too_is_no_second_measurement) {
  FanAtSetting survey = from(on_balance("heron", "3", 1.0, 0.01), "heron-3/survey.toml");
  survey.title = "Herb loft, heron";
  survey.readings = 200;
  survey.planes = {plane(1.5, 0.5, 0.02, 0.98, 0.03)};
  const FanAtSetting result = from(survey, "heron-3-map/summary.json");
  const FanAtSetting row = combine_entries({survey, result}).front();
  EXPECT_EQ(row.thrust_n->standard_uncertainty, 0.01);
  EXPECT_EQ(row.readings, 200u);
  ASSERT_EQ(row.warnings.size(), 1u);
  EXPECT_NE(row.warnings[0].find("heron-3-map/summary.json was passed over"), std::string::npos);
}

TEST(variants, a_filter_taken_out_is_a_row_of_its_own_and_its_effect_is_stated_with_interval) {
  FanAtSetting in = on_balance("heron", "3", 1.00, std::hypot(0.01, 0.03));
  FanAtSetting out = on_balance("heron", "3", 1.10, std::hypot(0.01, 0.033));
  in.lever_share = out.lever_share = 0.03;
  in.balance = out.balance = "day/session.toml";
  out.variant = "filter out";
  const Comparison c = compare({out, in});
  ASSERT_EQ(c.entries.size(), 2u);
  EXPECT_EQ(c.entries[1].name(), "heron at 3, filter out");
  ASSERT_EQ(c.variants.size(), 1u);
  const VariantDifference& d = c.variants.front();
  EXPECT_NEAR(d.difference.value, 0.10, 1e-12);
  // The lever is common: 3 % of the difference, not of the thrusts [JCGM 100, 5.2].
  EXPECT_NEAR(d.difference.standard_uncertainty,
              std::sqrt(0.01 * 0.01 + 0.01 * 0.01 + 0.003 * 0.003),
              1e-9);
  EXPECT_TRUE(d.sure);
  EXPECT_NEAR(d.relative.value, 0.10, 1e-12);
  EXPECT_NE(d.words.find("heron at 3, filter out against the fan unchanged: thrust +0.1"),
            std::string::npos)
      << d.words;
}

TEST(variants, names_with_a_comma_are_parted_by_semicolons) {
  FanAtSetting in = on_balance("heron", "3", 1.00, 0.01);
  FanAtSetting out = in;
  out.variant = "filter out";
  const Comparison c = compare({out, in, on_balance("teal", "1", 1.0, 0.01),
                                on_balance("wren", "1", 0.1, 0.001)});
  EXPECT_NE(c.summary.front().find("not different from heron at 3, filter out; and teal at 1"),
            std::string::npos)
      << c.summary.front();
}

TEST(campaign_check, pairs_of_rows_tell_the_probes_scale_and_the_flows_without_it) {
  std::vector<FanAtSetting> entries;
  for (int i = 0; i < 4; ++i) {
    FanAtSetting e = on_balance("f" + std::to_string(i), "1", 1.0, 0.005);
    e.planes = {plane(1.5, 0.515, std::hypot(0.01, 0.02 * 0.515), 1.0609, 0.05, 0.02)};
    e.momentum_flux_n = symmetric_estimate(1.0609, 0.05);
    entries.push_back(std::move(e));
  }
  const Comparison c = compare(entries);
  ASSERT_TRUE(c.probe_check);
  EXPECT_EQ(c.probe_check->probe.pairs.size(), 4u);
  EXPECT_NEAR(c.probe_check->probe.scale.value, 1.03, 1e-9);
  EXPECT_TRUE(c.probe_check->probe.explains_all);
  EXPECT_NEAR(c.probe_check->flows.front().corrected_m3_s.value, 0.5, 1e-9);
  // Nothing is applied.
  EXPECT_EQ(c.entries.front().planes.front().volume_flow_m3_s.value, 0.515);
}

}  // namespace
}  // namespace sweepflux
