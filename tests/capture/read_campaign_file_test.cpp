#include "sweepflux/capture/survey/read_campaign_file.hpp"

#include "sweepflux/capture/survey/survey_template.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <fstream>
#include <string>
#include <utility>
#include <vector>

namespace sweepflux {
namespace {

namespace fs = std::filesystem;

const std::string two_fans = R"([campaign]
title = "loft"
[air]
temperature = "20 degC"
pressure = "1000 hPa"
[rig]
limits = ["-30 deg", "30 deg"]
feed = "120 deg/min"
axis = "A"
step_angle = "0.05 deg"
[probe]
kind = "vane"
[columns]
speed = "wind"
[balance]
fan_arm = "0.4 m"
scale_arm = "0.2 m"
resolution = "1 g"

[[fan]]
name = "heron"
[fan.outlet]
diameter = "0.4 m"
centre_height = "0.9 m"
[[fan.setting]]
setting = "2"
power = "30 W"
[fan.setting.balance]
zero_before = "0 g"
readings = ["90 g", "91 g"]
zero_after = "0 g"
[[fan.setting.sweep]]
file = "heron.csv"
distance = "1.5 m"
height = "0.9 m"
[[fan.setting]]
setting = "3"
[fan.setting.air]
temperature = "30 degC"
pressure = "1000 hPa"

[[fan]]
name = "teal"
[fan.outlet]
width = "0.1 m"
height = "0.5 m"
centre_height = "1.1 m"
[[fan.setting]]
setting = "low"
)";

fs::path written(const std::string& text) {
  const fs::path folder = test::scratch_folder();
  std::ofstream(folder / "heron.csv", std::ios::binary)
      << "angle [deg],wind [m/s]\n-10,1.0\n0,2.0\n10,1.0\n";
  std::ofstream(folder / "campaign.toml", std::ios::binary) << text;
  return folder / "campaign.toml";
}

TEST(CampaignFile, NamesWhatIsSharedOnceForEveryFanAndSetting) {
  const fs::path file = written(two_fans);
  EXPECT_TRUE(is_campaign_file(file));
  const std::vector<Survey> surveys = read_campaign_file(file);
  ASSERT_EQ(surveys.size(), 3U);
  EXPECT_EQ(surveys[0].member, "heron-2");
  EXPECT_EQ(surveys[0].title, "loft, heron 2");
  ASSERT_EQ(surveys[0].sweeps.size(), 1U) << "by the common name of the column";
  EXPECT_DOUBLE_EQ(surveys[0].sweeps[0].readings[1].speed_m_s, 2.0);
  EXPECT_DOUBLE_EQ(surveys[0].outlet.power_w->value, 30.0);
  EXPECT_DOUBLE_EQ(surveys[0].balance->lever_ratio, 2.0);
  EXPECT_EQ(surveys[0].balance->readings_n.size(), 2U);
  EXPECT_NEAR(surveys[1].air.temperature_k.value, 303.15, 1e-9) << "its own";
  EXPECT_NEAR(surveys[0].air.temperature_k.value, 293.15, 1e-9) << "the common one";
  EXPECT_FALSE(surveys[1].balance);
  EXPECT_EQ(surveys[2].outlet.shape, OutletShape::slot);
  for (const Survey& survey : surveys) {
    EXPECT_NEAR(survey.rig.drive.feed, 2.0 * degree_rad, 1e-12);
    EXPECT_NEAR(survey.rig.drive.limits->second, 30.0 * degree_rad, 1e-12);
    EXPECT_NEAR(*survey.rig.drive.step, 0.05 * degree_rad, 1e-12);
    EXPECT_EQ(survey.rig.drive.axis, 'A');
  }
}

TEST(CampaignFile, IsASessionAtTheBalanceToo) {
  const BalanceSession session = session_of(read_campaign_file(written(two_fans)));
  ASSERT_EQ(session.readings.size(), 1U);
  EXPECT_EQ(session.readings[0].fan, "heron");
  EXPECT_EQ(session.readings[0].on_n.size(), 2U);
  EXPECT_DOUBLE_EQ(*session.balance.lever_ratio, 2.0);
  EXPECT_DOUBLE_EQ(session.fans[0].outlet->diameter_m, 0.4);
}

TEST(CampaignFile, PassesOnSoundSeatVariantAndGusts) {
  std::string text = two_fans;
  text.replace(text.find("[air]"), 5, "sound_distance = \"1 m\"\n[air]");
  text.replace(text.find("[balance]"),
               9,
               "[seat]\ndistance = \"2.5 m\"\nheight = \"1.1 m\"\nspeed = \"0.4 m/s\"\n[balance]");
  text.replace(text.find("power = \"30 W\""),
               14,
               "sound_level = \"43 dB\"\nvariant = \"filter out\"\npower = \"30 W\"");
  text.replace(text.find("setting = \"3\""),
               13,
               "setting = \"2\"\nsound_level = \"45 dB\"\nsound_distance = \"2 m\"\n"
               "sound_level_uncertainty = \"1 dB\"\n[fan.setting.seat]\ndistance = \"3 m\"\n"
               "height = \"1 m\"\n[fan.setting.gusts]\nlog = \"rest.csv\"");
  const std::vector<Survey> surveys = read_campaign_file(written(text));
  ASSERT_EQ(surveys.size(), 3U);
  EXPECT_EQ(surveys[0].variant, "filter out");
  EXPECT_EQ(surveys[0].member, "heron-2-filter_out");
  EXPECT_EQ(surveys[0].title, "loft, heron 2, filter out");
  EXPECT_EQ(surveys[1].member, "heron-2") << "the same setting without the change";
  EXPECT_DOUBLE_EQ(surveys[0].outlet.sound->level_db.value, 43.0);
  EXPECT_DOUBLE_EQ(surveys[0].outlet.sound->distance_m, 1.0) << "of the campaign";
  EXPECT_DOUBLE_EQ(surveys[1].outlet.sound->distance_m, 2.0) << "its own";
  EXPECT_DOUBLE_EQ(surveys[1].outlet.sound->level_db.standard_uncertainty, 1.0);
  EXPECT_FALSE(surveys[2].outlet.sound);
  EXPECT_DOUBLE_EQ(*surveys[0].seat->speed_m_s, 0.4) << "the common one";
  EXPECT_DOUBLE_EQ(surveys[1].seat->distance_m, 3.0) << "its own";
  EXPECT_EQ(surveys[1].gusts->file.filename(), "rest.csv");
  EXPECT_FALSE(surveys[0].gusts);
  const BalanceSession session = session_of(surveys);
  EXPECT_EQ(session.readings[0].variant, "filter out");
  EXPECT_DOUBLE_EQ(session.readings[0].sound->level_db.value, 43.0);
  EXPECT_DOUBLE_EQ(session.seat->height_m, 1.1);
}

/// With each text replaced by another, what is said of the file.
std::string faults_with(const std::vector<std::pair<std::string, std::string>>& changes) {
  std::string text = two_fans;
  for (const auto& [from, to] : changes) {
    text.replace(text.find(from), from.size(), to);
  }
  try {
    (void)read_campaign_file(written(text));
  } catch (const SurveyError& error) {
    return error.what();
  }
  return "";
}

TEST(CampaignFile, SaysWhichSettingIsNotOnTheBalanceAndWhereTheLeverComesFrom) {
  const BalanceSession session = session_of(read_campaign_file(written(two_fans)));
  EXPECT_EQ(session.title, "loft");
  EXPECT_TRUE(session.balance.from_arms);
  ASSERT_EQ(session.remarks.size(), 2U);
  EXPECT_EQ(session.remarks[0].text, "heron-3 has no balance readings, and is left out");
  EXPECT_EQ(session.remarks[1].text, "teal-low has no balance readings, and is left out");
}

TEST(CampaignFile, GivesEachSettingTheDefaultsThatItUses) {
  std::string text = two_fans;
  const std::size_t balance = text.find("[balance]");
  text.erase(balance, text.find("[[fan]]") - balance);
  const std::vector<Survey> surveys = read_campaign_file(written(text));
  const auto all = [&](std::size_t i) {
    std::string words;
    for (const std::string& word : surveys[i].defaults_used) {
      words += word + "\n";
    }
    return words;
  };
  EXPECT_DOUBLE_EQ(surveys[0].balance->lever_ratio, 1.0);
  EXPECT_NE(all(0).find("balance.lever_ratio = 1"), std::string::npos) << all(0);
  EXPECT_NE(all(0).find("fan 1.setting 1.power_uncertainty = 2 %"), std::string::npos) << all(0);
  EXPECT_EQ(all(0).find("fan 2"), std::string::npos) << all(0);
  EXPECT_EQ(all(1).find("lever_ratio"), std::string::npos) << "it has no readings: " << all(1);
  EXPECT_NE(all(2).find("fan 2.outlet.ahead_of_axis = 0 m"), std::string::npos) << all(2);
  EXPECT_EQ(all(2).find("fan 1"), std::string::npos) << all(2);
  for (std::size_t i = 0; i < surveys.size(); ++i) {
    EXPECT_NE(all(i).find("probe.starting_speed"), std::string::npos) << "what all share";
  }
}

TEST(CampaignFile, RefusesWhatIsNamedTwice) {
  const std::string fan = faults_with({{"\"teal\"", "\"heron\""}});
  EXPECT_NE(fan.find("fan 2.name is `heron`, and so is that of another"), std::string::npos) << fan;
  const std::string sweep =
      "[[fan.setting.sweep]]\nfile = \"heron.csv\"\ndistance = \"1.5 m\"\n"
      "height = \"0.9 m\"\n";
  const std::string twice = faults_with({{"setting = \"3\"\n", "setting = \"3\"\n" + sweep}});
  EXPECT_NE(
      twice.find("`heron.csv` was named before (line 33), its readings would count for another "
                 "setting too"),
      std::string::npos)
      << twice;
  const std::string log = "[fan.setting.balance]\nlog = \"scale.csv\"\nsequence = [\"off\", \"";
  const std::string other = faults_with(
      {{"[fan.setting.balance]\nzero_before = \"0 g\"\nreadings = [\"90 g\", \"91 g\"]\n"
        "zero_after = \"0 g\"\n",
        log + "2\", \"off\"]\n"},
       {"setting = \"low\"\n", "setting = \"low\"\n" + log + "low\", \"off\"]\n"}});
  EXPECT_NE(other.find("scale.csv` was named before (line 29) with another sequence"),
            std::string::npos)
      << other;
}

TEST(CampaignFile, NamesAListOfStopsThatIsNotThere) {
  const std::string faults =
      faults_with({{"file = \"heron.csv\"", "log = \"heron.csv\"\nsteps = \"plan/stepps.csv\""}});
  EXPECT_NE(faults.find("steps of log `heron.csv`: "), std::string::npos) << faults;
  EXPECT_NE(faults.find("plan/stepps.csv` is not there"), std::string::npos) << faults;
}

TEST(CampaignFile, TellsEveryFaultWithItsLine) {
  std::string text = two_fans;
  text.replace(text.find("setting = \"3\""), 13, "setting = \"2\"");
  text.replace(text.find("width = \"0.1 m\""), 15, "widht = \"0.1 m\"");
  text.replace(text.find("file = \"heron.csv\""), 18, "file = \"hreon.csv\"");
  std::string faults;
  try {
    (void)read_campaign_file(written(text));
  } catch (const SurveyError& error) {
    faults = error.what();
  }
  EXPECT_NE(faults.find("so is another of `heron`"), std::string::npos) << faults;
  EXPECT_NE(faults.find("widht"), std::string::npos) << faults;
  EXPECT_NE(faults.find("did you mean `heron.csv`"), std::string::npos) << faults;
}

}  // namespace
}  // namespace sweepflux
