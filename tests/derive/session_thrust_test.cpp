#include "sweepflux/derive/thrust/session_thrust.hpp"

#include "sweepflux/base/quantiles.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace sweepflux {
namespace {

SessionReading block(const char* fan, const char* setting, double on_n, double zero_n = 0.0) {
  SessionReading b;
  b.fan = fan;
  b.setting = setting;
  b.zero_before_n = b.zero_after_n = zero_n;
  b.on_n = {on_n + zero_n, on_n + zero_n + 0.002, on_n + zero_n - 0.002};
  b.spot = {"session.toml", 10, 1};
  return b;
}

BalanceSession session_of(std::vector<SessionReading> blocks) {
  BalanceSession s;
  s.file = "session.toml";
  s.balance.lever_ratio = 1.0;
  s.balance.resolution_n = 0.001;
  s.readings = std::move(blocks);
  return s;
}

TEST(session_thrust, ten_grams_force_are_this_many_newtons) {
  // 1 gf = 0.00980665 N exactly, standard gravity 9.80665 m/s2 (CGPM 1901).
  EXPECT_NEAR(grams_force(0.0980665), 10.0, 1e-12);
  EXPECT_NEAR(grams_force(0.980665), 100.0, 1e-12);
}

TEST(session_thrust, zero_and_lever_are_taken_off) {
  BalanceSession s = session_of({block("heron", "3", 1.0, 0.05)});
  s.balance.lever_ratio = 1.25;
  s.balance.lever_ratio_uncertainty = 0.004;
  const SessionThrust t = derive_session_thrust(s);
  ASSERT_EQ(t.settings.size(), 1u);
  EXPECT_NEAR(t.settings[0].thrust_n.value, 0.8, 1e-9);
  // The lever's uncertainty is common, so it is kept apart and added last.
  EXPECT_NEAR(t.settings[0].thrust_n.standard_uncertainty,
              std::hypot(t.settings[0].own_uncertainty_n, 0.004 * 0.8),
              1e-12);
}

TEST(session_thrust, a_check_mass_measures_the_lever_as_a_whole) {
  BalanceSession s = session_of({block("heron", "3", 1.0)});
  s.balance.lever_ratio.reset();
  const double weight = 0.1 * s.balance.gravity_m_s2;
  s.balance.check_mass = CheckMass{0.1, 5e-5, {1.37 * weight, 1.37 * weight}, 0.0, 0.0};
  const SessionThrust t = derive_session_thrust(s);
  EXPECT_NEAR(t.lever.ratio.value, 1.37, 1e-9);
  EXPECT_GT(t.lever.ratio.standard_uncertainty / 1.37, 5e-4);  // at least the mass's own
  EXPECT_NEAR(t.settings[0].thrust_n.value, 1.0 / 1.37, 1e-9);
}

TEST(session_thrust, repeats_are_averaged_and_their_scatter_counts) {
  const SessionThrust t = derive_session_thrust(session_of({block("heron", "3", 1.00),
                                                            block("teal", "3", 0.50),
                                                            block("heron", "3", 1.04),
                                                            block("teal", "3", 0.50)}));
  ASSERT_EQ(t.settings.size(), 2u);
  EXPECT_EQ(t.settings[0].repeats, 2u);
  EXPECT_EQ(t.settings[0].readings, 6u);
  EXPECT_NEAR(t.settings[0].thrust_n.value, 1.02, 1e-9);
  // Pooled over both fans by hand: squares 2 * 0.02^2 + 0 over 2 degrees, so 0.02 for one block;
  // of two, 0.02 / sqrt 2, widened by Student's t of 2 degrees [JCGM 100, table G.2].
  const double scatter = 0.02 / std::sqrt(2.0) * student_95(2.0) / 1.959963984540054;
  EXPECT_NEAR(t.settings[0].own_uncertainty_n, scatter, 1e-9);
  EXPECT_NEAR(t.settings[1].own_uncertainty_n, scatter, 1e-9);
}

TEST(session_thrust, thrust_per_watt_carries_both_uncertainties) {
  BalanceSession s = session_of({block("heron", "3", 1.0)});
  s.readings[0].power_w = Measured{40.0, 0.8};
  const SettingThrust setting = derive_session_thrust(s).settings[0];
  ASSERT_TRUE(setting.thrust_per_watt_n_w);
  EXPECT_NEAR(setting.thrust_per_watt_n_w->value, 0.025, 1e-9);
  EXPECT_NEAR(setting.thrust_per_watt_n_w->standard_uncertainty,
              0.025 * std::hypot(setting.thrust_n.standard_uncertainty, 0.02),
              1e-9);
}

TEST(session_thrust, every_block_at_fault_is_named_in_one_go) {
  BalanceSession s =
      session_of({block("heron", "3", 1.0), block("teal", "3", 0.5), block("teal", "6", -0.2)});
  s.readings[1].zero_after_n = 0.2;  // two fifths of the thrust
  s.readings[1].spot.line = 20;
  s.readings[2].spot.line = 30;
  try {
    (void)derive_session_thrust(s);
    FAIL() << "must throw";
  } catch (const SurveyError& error) {
    ASSERT_EQ(error.findings().size(), 2u);
    EXPECT_EQ(error.findings()[0].spot.line, 20u);
    EXPECT_NE(error.findings()[0].text.find("teal at 3"), std::string::npos);
    EXPECT_EQ(error.findings()[1].spot.line, 30u);
  }
}

}  // namespace
}  // namespace sweepflux
