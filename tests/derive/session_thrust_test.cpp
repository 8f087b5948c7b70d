#include "sweepflux/derive/thrust/session_thrust.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/quantiles.hpp"
#include "sweepflux/derive/thrust/reduce_session.hpp"
#include "sweepflux/derive/thrust/scale_log.hpp"
#include "sweepflux/derive/thrust/thrust.hpp"
#include "sweepflux/record/reduced_sweep.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <string>
#include <utility>

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

/// A scale's log: off, on, off, on, off, of twenty seconds each, with or without a column that says
/// what the fan was doing.
std::filesystem::path scale_log(bool labelled) {
  std::filesystem::path file = test::scratch_folder() / "scale.csv";
  std::ofstream out(file, std::ios::binary);
  out << (labelled ? "time [s],label,weight [g]\n" : "time [s],weight [g]\n");
  const double levels_g[] = {0.0, 90.0, 0.0, 60.0, 0.0};
  const char* const labels[] = {"off", "3", "off", "2", "off"};
  for (int i = 0; i < 500; ++i) {
    const int part = i / 100;
    const double ripple_g = 0.1 * ((i * 7) % 5 - 2);
    out << 0.2 * i << ',' << (labelled ? std::string(labels[part]) + "," : std::string())
        << 12.0 + levels_g[part] + ripple_g << '\n';
  }
  return file;
}

SessionReading logged(const char* setting, bool labelled) {
  SessionReading b;
  b.fan = "heron";
  b.setting = setting;
  b.log.emplace();
  b.log->file = scale_log(labelled);
  return b;
}

TEST(session_thrust, a_log_tells_zeros_and_readings_of_each_setting) {
  BalanceSession s = session_of({logged("", true)});
  reduce_session_logs(s);
  ASSERT_EQ(s.readings.size(), 2u);
  const SessionThrust t = derive_session_thrust(s);
  ASSERT_EQ(t.settings.size(), 2u);
  EXPECT_EQ(t.settings[0].setting, "3");
  EXPECT_NEAR(grams_force(t.settings[0].thrust_n.value), 90.0, 0.1) << "the tare of 12 g is off";
  EXPECT_NEAR(grams_force(t.settings[1].thrust_n.value), 60.0, 0.1);
  BalanceSession one = session_of({logged("2", true)});
  reduce_session_logs(one);
  ASSERT_EQ(one.readings.size(), 1u);
  EXPECT_NEAR(one.readings[0].from_log_n->value, 0.060 * standard_gravity_m_s2, 1e-3);
}

TEST(session_thrust, a_log_without_words_needs_a_sequence_or_is_refused) {
  const auto refusal = [](BalanceSession s) -> std::string {
    try {
      reduce_session_logs(s);
    } catch (const SurveyError& error) {
      return error.what();
    }
    return "";
  };
  EXPECT_NE(refusal(session_of({logged("", false)})).find("sequence"), std::string::npos);
  EXPECT_NE(refusal(session_of({logged("3", false)})).find("2 settings without a name"),
            std::string::npos);
  EXPECT_NE(refusal(session_of({logged("4", true)})).find("`3`, `2`"), std::string::npos);
  BalanceSession reported = session_of({logged("2", false)});
  reported.readings[0].log->sequence = {"off", "3", "off", "2", "off"};
  reduce_session_logs(reported);
  ASSERT_EQ(reported.readings.size(), 1u);
  EXPECT_NEAR(reported.readings[0].from_log_n->value, 0.060 * standard_gravity_m_s2, 1e-3);
}

TEST(session_thrust, a_table_of_reduce_is_read_as_the_log_itself) {
  const BalanceSession raw = session_of({logged("", true)});
  ScaleOptions options;
  options.resolution_n = raw.balance.resolution_n;
  LogFormat format;
  format.kind = LogKind::force;
  const ScaleLog log = reduce_scale_log(raw.readings[0].log->file, format, options);
  const auto table = test::scratch_folder() / "thrust.csv";
  std::ofstream(table, std::ios::binary) << scale_csv(log);
  BalanceSession from_table = raw;
  from_table.readings[0].log->file = table;
  from_table.readings[0].log->reduced = true;
  BalanceSession from_log = raw;
  reduce_session_logs(from_table);
  reduce_session_logs(from_log);
  ASSERT_EQ(from_table.readings.size(), from_log.readings.size());
  for (std::size_t i = 0; i < from_log.readings.size(); ++i) {
    EXPECT_NEAR(from_table.readings[i].from_log_n->value,
                from_log.readings[i].from_log_n->value,
                1e-6);
    EXPECT_NEAR(from_table.readings[i].from_log_n->standard_uncertainty,
                from_log.readings[i].from_log_n->standard_uncertainty,
                1e-6);
  }
}

TEST(thrust, a_survey_may_name_the_log_of_its_balance) {
  Survey survey;
  survey.setting = "3";
  survey.balance.emplace();
  survey.balance->lever_ratio = 2.0;
  survey.balance->log.emplace();
  survey.balance->log->file = scale_log(true);
  EXPECT_THROW((void)derive_thrust(*survey.balance), InputError) << "not before it is reduced";
  reduce_balance_log(survey);
  const Thrust thrust = derive_thrust(*survey.balance);
  EXPECT_NEAR(grams_force(thrust.thrust_n.value), 45.0, 0.1);
  EXPECT_GT(thrust.thrust_n.standard_uncertainty, 0.0);
}

}  // namespace
}  // namespace sweepflux
