#include "sweepflux/judge/probe_check.hpp"

#include "sweepflux/base/error.hpp"
#include "tests/support/simulated_campaign.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

MomentumThrustPair pair(const std::string& name, double momentum_flux_n, double thrust_n) {
  MomentumThrustPair p;
  p.name = p.survey = p.thrust_of = name;
  p.momentum_flux_n = {momentum_flux_n, 0.02 * momentum_flux_n};
  p.thrust_n = {thrust_n, 0.004 * thrust_n};
  p.balance = "balance";
  p.lever_share = 0.005;
  p.slowness_s_m = 1.0 / std::sqrt(thrust_n);
  return p;
}

/// Momentum fluxes as a probe of this scale and offset shows them, without noise.
std::vector<MomentumThrustPair> exact(double scale, double offset_m_s) {
  std::vector<MomentumThrustPair> pairs;
  for (const double thrust : {0.25, 0.5, 1.0, 2.0}) {
    MomentumThrustPair p = pair("fan " + std::to_string(thrust), thrust, thrust);
    const double half_log = std::log(scale) + offset_m_s * p.slowness_s_m;
    p.momentum_flux_n = {thrust * std::exp(2.0 * half_log), 0.02 * thrust};
    pairs.push_back(std::move(p));
  }
  return pairs;
}

TEST(probe_check, an_exact_factor_is_found_and_explains_all) {
  const ProbeCheck check = check_probe(exact(1.03, 0.0));
  EXPECT_NEAR(check.scale.value, 1.03, 1e-9);
  EXPECT_TRUE(check.explains_all);
  EXPECT_FALSE(check.stands_out);
  // Four momenta of 2 % (a little less after the scale's square), thrusts of 0.4 % and one lever of
  // 0.5 %, halved by the square root [JCGM 100, 5.1.2].
  const double own = std::hypot(0.02 / 1.0609, 0.004) / 2.0;
  EXPECT_NEAR(check.scale.standard_uncertainty, 1.03 * 0.5 * std::hypot(own, 0.005), 2e-5);
}

TEST(probe_check, an_interval_holds_a_scale_of_three_percent_in_95_of_100_campaigns) {
  // 200 campaigns of six surveys: 95 % with a standard deviation of 1.5 %, so 184 to 197 is what
  // right intervals give in 99 of 100 such tests. More campaigns: tests/bench/probe_scale.cpp.
  const std::size_t held = test::campaigns_that_hold(1, 200, 6, 1.03);
  EXPECT_GE(held, 183u);
  EXPECT_LE(held, 197u);
}

TEST(probe_check, a_survey_that_differs_from_all_others_is_named_and_widens_the_interval) {
  std::vector<MomentumThrustPair> pairs = exact(1.0, 0.0);
  pairs.push_back(pair("odd one", 1.3, 1.0));
  const ProbeCheck check = check_probe(pairs);
  EXPECT_FALSE(check.explains_all);
  ASSERT_TRUE(check.stands_out);
  EXPECT_EQ(check.pairs[*check.stands_out].name, "odd one");
  EXPECT_TRUE(std::any_of(check.words.begin(), check.words.end(), [](const std::string& words) {
    return words.find("look there first. Without it the scale is 1.0") != std::string::npos;
  }));
  pairs.back() = pair("even one", 1.0, 1.0);
  EXPECT_GT(check.scale.standard_uncertainty, 2.0 * check_probe(pairs).scale.standard_uncertainty);
}

TEST(probe_check, an_offset_shows_by_its_run_with_the_streams_speed) {
  const ProbeCheck check = check_probe(exact(1.0, 0.10));
  ASSERT_TRUE(check.offset_m_s);
  EXPECT_NEAR(check.offset_m_s->value, 0.10, 1e-6);
  EXPECT_NEAR(check.scale_beside_offset->value, 1.0, 1e-6);
}

TEST(probe_check, one_lever_for_all_does_not_average_away) {
  std::vector<MomentumThrustPair> pairs;
  for (int i = 0; i < 100; ++i) {
    pairs.push_back(pair("fan " + std::to_string(i), 1.0, 1.0));
  }
  // Half of what is left of 2 % and 0.4 % over a hundred, and of the whole 0.5 %.
  const double own = std::hypot(0.02, 0.004) / 10.0;
  EXPECT_NEAR(check_probe(pairs).scale.standard_uncertainty, 0.5 * std::hypot(own, 0.005), 1e-5);
}

TEST(probe_check, the_block_to_paste_undoes_the_scale_under_an_earlier_calibration) {
  const ProbeCheck check = check_probe(exact(1.03, 0.0));
  const std::string fresh = calibration_block(check, {}, 4.2);
  EXPECT_NE(fresh.find("[\"0 m/s\", \"0 m/s\"], [\"4.8544 m/s\", \"5 m/s\"]"), std::string::npos)
      << fresh;
  const std::vector<std::pair<double, double>> earlier{{0.515, 0.6}, {2.06, 2.2}};
  const std::string again = calibration_block(check, earlier, 4.2);
  EXPECT_NE(again.find("[\"0.5 m/s\", \"0.6 m/s\"], [\"2 m/s\", \"2.2 m/s\"]"), std::string::npos)
      << again;
}

TEST(probe_check, what_is_no_pair_is_refused) {
  EXPECT_THROW((void)check_probe({}), InputError);
  EXPECT_THROW((void)check_probe(std::vector{pair("heron", -1.0, 1.0)}), InputError);
}

}  // namespace
}  // namespace sweepflux
