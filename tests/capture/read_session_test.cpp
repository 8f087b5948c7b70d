#include "sweepflux/capture/survey/read_session.hpp"

#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <string>

namespace sweepflux {
namespace {

std::filesystem::path written_session(const std::string& text) {
  std::filesystem::path file = test::scratch_folder() / "session.toml";
  std::ofstream(file, std::ios::binary) << text;
  return file;
}

/// All faults of a session, one a line, without the folder.
std::string faults_of(const std::string& text) {
  try {
    (void)read_session(written_session(text));
  } catch (const SurveyError& error) {
    std::string lines;
    for (const Finding& f : error.findings()) {
      lines += std::to_string(f.spot.line) + ": " + f.text + "\n";
    }
    return lines;
  }
  return "none";
}

const char* const good = R"([session]
title = "Herb loft"

[balance]
lever_ratio = 1.25
lever_ratio_uncertainty = "0.5 %"
resolution = "1 g"

[[fan]]
name = "heron"
outlet_diameter = "0.40 m"

[[reading]]
fan = "heron"
setting = "3"
power = "41 W"
power_uncertainty = "1 W"
zero_before = "0 g"
readings = ["96 g", "98 g", "97 g"]

[[reading]]
fan = "teal"
setting = "low"
zero_before = "1 g"
readings = ["0.5 N"]
zero_after = "2 g"
)";

TEST(read_session, units_become_newtons_and_a_zero_between_blocks_is_written_once) {
  const BalanceSession s = read_session(written_session(good));
  EXPECT_EQ(s.title, "Herb loft");
  ASSERT_EQ(s.readings.size(), 2u);
  // 1 g is 0.00980665 N by standard gravity, exact by definition (CGPM 1901).
  EXPECT_NEAR(s.readings[0].on_n[1], 98 * 0.00980665, 1e-12);
  EXPECT_NEAR(s.readings[0].zero_after_n, 0.00980665, 1e-12);  // from the next block
  EXPECT_NEAR(s.readings[1].on_n[0], 0.5, 1e-12);
  EXPECT_EQ(s.readings[0].spot.line, 13u);
  ASSERT_TRUE(s.readings[0].power_w);
  EXPECT_EQ(s.readings[0].power_w->standard_uncertainty, 1.0);
  EXPECT_FALSE(s.readings[1].power_w);
  ASSERT_EQ(s.fans.size(), 1u);
  EXPECT_EQ(s.fans[0].outlet->diameter_m, 0.40);
  EXPECT_EQ(*s.balance.lever_ratio, 1.25);
}

TEST(read_session, sound_variant_and_seat_stand_beside_power) {
  std::string text = good;
  text.insert(text.find("\n[balance]"), "sound_distance = \"1 m\"\n");
  text.insert(text.find("power ="),
              "variant = \"filter out\"\nsound_level = \"43 dB(A)\"\n");
  text += "\n[seat]\ndistance = \"2.5 m\"\nheight = \"1.1 m\"\nspeed = \"0.25 m/s\"\n";
  const BalanceSession s = read_session(written_session(text));
  EXPECT_EQ(s.readings[0].variant, "filter out");
  ASSERT_TRUE(s.readings[0].sound);
  EXPECT_EQ(s.readings[0].sound->level_db.value, 43.0);
  EXPECT_EQ(s.readings[0].sound->level_db.standard_uncertainty, 1.5);
  EXPECT_EQ(s.readings[0].sound->distance_m, 1.0);
  EXPECT_FALSE(s.readings[1].sound);
  ASSERT_TRUE(s.seat);
  EXPECT_EQ(s.seat->across_m, 0.0);
  EXPECT_EQ(*s.seat->speed_m_s, 0.25);
}

TEST(read_session, a_sound_level_needs_its_distance_and_a_plausible_size) {
  std::string text = good;
  text.insert(text.find("power ="), "sound_level = \"43 dB\"\n");
  EXPECT_NE(faults_of(text).find("sound_level needs sound_distance"), std::string::npos);
  text = good;
  text.insert(text.find("power ="), "sound_distance = \"1 m\"\nsound_level = \"430 dB\"\n");
  EXPECT_NE(faults_of(text).find("from 10 to 120 dB"), std::string::npos) << faults_of(text);
}

TEST(read_session, a_scale_that_shows_grams_follows_the_gravity_of_the_place) {
  std::string text = good;
  text.insert(text.find("resolution"), "gravity = \"9.79 m/s2\"\n");
  const BalanceSession s = read_session(written_session(text));
  EXPECT_NEAR(s.readings[0].on_n[1], 0.098 * 9.79, 1e-12);
  EXPECT_NEAR(s.readings[1].on_n[0], 0.5, 1e-12);  // newtons are newtons anywhere
}

TEST(read_session, two_arms_make_a_lever_with_its_uncertainty) {
  std::string text = good;
  const std::string ratio = "lever_ratio = 1.25\nlever_ratio_uncertainty = \"0.5 %\"\n";
  text.replace(text.find(ratio),
               ratio.size(),
               "fan_arm = \"0.4 m\"\nscale_arm = \"30 cm\"\narm_uncertainty = \"1 mm\"\n");
  const BalanceSession s = read_session(written_session(text));
  EXPECT_NEAR(*s.balance.lever_ratio, 4.0 / 3.0, 1e-12);
  EXPECT_NEAR(s.balance.lever_ratio_uncertainty, std::hypot(0.001 / 0.4, 0.001 / 0.3), 1e-12);
}

TEST(read_session, a_file_of_another_kind_or_none_at_all_is_one_line) {
  EXPECT_EQ(faults_of("[air]\n[survey]\ntitle = \"x\"\n"),
            "2: this is a survey, no session at the balance; sweepflux map reads it\n");
  try {
    (void)read_session(test::scratch_folder() / "none.toml");
    FAIL() << "accepted";
  } catch (const SurveyError& error) {
    EXPECT_EQ(error.findings().size(), 1U) << error.what();
  }
}

TEST(read_session, a_lever_that_is_stated_twice_is_one_fault) {
  std::string text = good;
  text.replace(text.find("lever_ratio = 1.25"), 18, "fan_arm = \"40 cm\"\nscale_arm = \"0.5 m\"\nlever_ratio = 0.8");
  EXPECT_EQ(faults_of(text),
            "7: the lever is stated more than once; keep one of lever_ratio, the two arms, and "
            "[balance.check]\n");
}

TEST(read_session, every_fault_is_reported_at_once) {
  const std::string faults = faults_of(R"([session]
titel = "Herb loft"

[balance]
lever_ratio = -1.0
fan_arm = "0.4 m"
resolution = 1

[[fan]]
name = "hreon"

[[reading]]
fan = "heron"
setting = "3"
readings = ["96 g", "98 kgg"]

[[reading]]
fan = "heron"
setting = 6
zero_before = "0 g"
zero_after = "0 g"
)");
  for (const char* part : {"titel",
                           "lever_ratio",
                           "more than once",
                           "resolution",
                           "hreon",
                           "kgg",
                           "setting",
                           "readings"}) {
    EXPECT_NE(faults.find(part), std::string::npos) << part << " is not in\n" << faults;
  }
}

TEST(read_session, a_zero_that_nobody_read_is_a_fault) {
  const std::string faults = faults_of(R"([session]
title = "Herb loft"
[balance]
resolution = "1 g"
[[reading]]
fan = "heron"
setting = "3"
readings = ["96 g"]
)");
  EXPECT_NE(faults.find("zero_before is missing"), std::string::npos) << faults;
  EXPECT_NE(faults.find("zero_after is missing"), std::string::npos) << faults;
}

TEST(read_session, a_session_without_readings_is_a_fault) {
  const std::string faults =
      faults_of("[session]\ntitle = \"x\"\n[balance]\nresolution = \"1 g\"\n");
  EXPECT_NE(faults.find("[[reading]]"), std::string::npos) << faults;
}

TEST(read_session, defaults_that_were_taken_are_reported) {
  std::string text = good;
  const std::string power = "power_uncertainty = \"1 W\"\n";
  text.replace(text.find(power), power.size(), "");
  const BalanceSession s = read_session(written_session(text));
  std::string reported;
  for (const std::string& d : s.defaults_used) {
    reported += d + "\n";
  }
  EXPECT_NE(reported.find("power_uncertainty"), std::string::npos) << reported;
  EXPECT_NE(reported.find("gravity"), std::string::npos) << reported;
  EXPECT_NEAR(s.readings[0].power_w->standard_uncertainty, 0.82, 1e-12);
}

}  // namespace
}  // namespace sweepflux
