#include "sweepflux/judge/plausibility.hpp"

#include "sweepflux/base/error.hpp"
#include "tests/support/known_fields.hpp"
#include "tests/support/make_survey.hpp"

#include <gtest/gtest.h>

#include <string>

namespace sweepflux {
namespace {

/// A jet of 3 m/s at 1.8 m from an outlet of 0.3 m, five heights, a balance, and a fan of 45 W.
Survey right_survey(bool balance = true) {
  test::SurveyPlan plan;
  plan.thrust = balance;
  Survey survey = make_survey(test::known_field("gauss"), plan);
  survey.outlet.power_w = Measured{45.0, 1.0};
  for (Sweep& sweep : survey.sweeps) {
    sweep.speed_unit = "m/s";
    sweep.position_unit = "deg";
  }
  return survey;
}

void scale_speeds(Survey& survey, double factor) {
  for (Sweep& sweep : survey.sweeps) {
    for (Reading& reading : sweep.readings) {
      reading.speed_m_s *= factor;
    }
  }
}

/// What is said of a survey; empty where nothing is.
std::string said_of(const Survey& survey) {
  const std::vector<Implausible> found = find_implausible(survey);
  return found.empty() ? "" : found.front().text;
}

void expect_said(const Survey& survey, const std::string& words) {
  const std::string said = said_of(survey);
  EXPECT_NE(said.find(words), std::string::npos) << "said: " << said;
}

TEST(Plausibility, says_nothing_of_usual_surveys) {
  EXPECT_EQ(said_of(right_survey()), "");
  EXPECT_EQ(said_of(right_survey(false)), "");
  for (const test::KnownField& field : test::published_fields()) {
    EXPECT_EQ(said_of(make_survey(field, {})), "") << field.name;
  }
}

TEST(Plausibility, names_the_unit_of_speeds_and_where_to_change_it) {
  for (const auto& [unit, in_m_s] :
       {std::pair{"km/h", 3.6}, {"mph", 2.2369}, {"kn", 1.9438}, {"ft/min", 196.85}}) {
    Survey survey = right_survey();
    scale_speeds(survey, in_m_s);
    expect_said(survey, std::string("the speeds are in ") + unit + ", not in m/s");
    expect_said(survey, "the column speed of sweeps/d1.80-00.csv and 4 more");
  }
}

TEST(Plausibility, names_the_unit_of_angles_and_lengths) {
  Survey turned = right_survey();
  for (Sweep& sweep : turned.sweeps) {
    for (Reading& reading : sweep.readings) {
      reading.position *= 0.0174533;  // radians read as degrees
    }
  }
  expect_said(turned, "the angles are in rad, not in deg");

  Survey far = right_survey();
  for (Sweep& sweep : far.sweeps) {
    sweep.distance_m *= 1000.0;
  }
  expect_said(far, "the distances are in mm, not in m");

  Survey large = right_survey();
  large.outlet.diameter_m *= 1000.0;
  expect_said(large, "outlet.diameter is in mm, not in m");
}

TEST(Plausibility, no_stream_carries_more_power_than_the_fan_takes) {
  Survey survey = right_survey(false);
  survey.outlet.power_w = Measured{0.2, 0.01};
  const std::vector<Implausible> found = find_implausible(survey);
  ASSERT_EQ(found.size(), 1u);
  EXPECT_TRUE(found.front().impossible) << found.front().text;
  EXPECT_NE(found.front().text.find("more than the 0.2 W that the fan takes"), std::string::npos)
      << found.front().text;
  try {
    (void)warn_of_implausible(found, "loft/survey.toml");
    FAIL() << "not refused";
  } catch (const InputError& error) {
    const std::string line = error.what();
    EXPECT_EQ(line.rfind("loft/survey.toml: not possible: ", 0), 0u) << line;
    EXPECT_EQ(line.find('\n'), std::string::npos);
  }
}

TEST(Plausibility, what_is_merely_odd_is_a_warning) {
  Survey survey = right_survey();
  scale_speeds(survey, 2.2369);
  const std::vector<std::string> warnings =
      warn_of_implausible(find_implausible(survey), "survey.toml");
  ASSERT_EQ(warnings.size(), 1u);
  EXPECT_EQ(warnings.front().rfind("hardly likely: ", 0), 0u) << warnings.front();
}

TEST(Plausibility, does_not_depend_on_the_order_of_readings_or_on_mirrors) {
  Survey survey = right_survey();
  scale_speeds(survey, 3.6);
  Survey turned = survey;
  for (Sweep& sweep : turned.sweeps) {
    std::reverse(sweep.readings.begin(), sweep.readings.end());
  }
  EXPECT_EQ(said_of(turned), said_of(survey));
}

TEST(Plausibility, weighs_a_session_by_thrust_power_and_outlet) {
  BalanceSession session;
  session.fans.push_back({"heron", Outlet{}});
  session.fans.back().outlet->diameter_m = 0.4;
  SettingThrust setting;
  setting.fan = "heron";
  setting.setting = "3";
  setting.power_w = Measured{41.0, 0.8};
  setting.thrust_n = {0.95, 0.01, 0.93, 0.97};
  EXPECT_TRUE(find_implausible(session, setting).empty());

  setting.thrust_n = {97.0, 1.0, 95.0, 99.0};  // grams that were called newtons
  const std::vector<Implausible> found = find_implausible(session, setting);
  ASSERT_EQ(found.size(), 1u);
  // P >= T^1.5 / (2 sqrt(rho A)) = 955.3 / (2 sqrt(1.2 x 0.12566)) = 1230 W.
  EXPECT_TRUE(found.front().impossible);
  EXPECT_NE(found.front().text.find("1230 W"), std::string::npos) << found.front().text;
  EXPECT_NE(found.front().text.find("the balance reads in g, not in N"), std::string::npos)
      << found.front().text;
}

}  // namespace
}  // namespace sweepflux
