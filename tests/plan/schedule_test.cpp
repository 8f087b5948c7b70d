#include "sweepflux/plan/schedule.hpp"

#include "sweepflux/base/error.hpp"
#include "tests/support/known_fields.hpp"
#include "tests/support/make_survey.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

/// The herb loft before any sweep.
Survey loft() {
  Survey s;
  s.file = "loft.toml";
  s.outlet.diameter_m = 0.4;
  s.outlet.centre_height_m = 0.92;
  s.outlet.ahead_of_axis_m = 0.11;
  s.room.width_m = 5.2;
  s.room.height_m = 3.1;
  s.room.floor_m = 0.0;
  s.probe.head_diameter_m = 0.07;
  s.probe.starting_speed_m_s = 0.3;
  s.probe.scale_uncertainty = 0.01;
  s.plan.expected_thrust_n = 0.9;
  return s;
}

TEST(Plan, ABudgetIsFilledAndNotOverrun) {
  Survey s = loft();
  s.plan.distances_m = {1.8};
  PlanOptions o;
  o.budget_s = 3600.0;
  const Schedule plan = plan_sweeps(s, o);
  ASSERT_GE(plan.sweeps.size(), 3u);
  EXPECT_LE(plan.sweeps.back().elapsed_minutes, 60.0);
  EXPECT_GT(plan.sweeps.back().elapsed_minutes, 45.0);
  EXPECT_TRUE(plan.before_any_data);
}

TEST(Plan, EverySweepLeavesLessDoubtThanTheOneBefore) {
  Survey s = loft();
  s.plan.distances_m = {1.8};
  PlanOptions o;
  o.count = 7;
  const Schedule plan = plan_sweeps(s, o);
  ASSERT_EQ(plan.sweeps.size(), 7u);
  for (std::size_t i = 1; i < plan.sweeps.size(); ++i) {
    EXPECT_LE(plan.sweeps[i].target_share_after, plan.sweeps[i - 1].target_share_after * 1.0001);
  }
}

TEST(Plan, TheFirstHeightIsTheOutletsAndOthersBracketIt) {
  Survey s = loft();
  s.plan.distances_m = {1.8};
  PlanOptions o;
  o.count = 5;
  const Schedule plan = plan_sweeps(s, o);
  EXPECT_NEAR(plan.sweeps.front().height_m, 0.92, 0.12);
  double low = 9.0, high = 0.0;
  for (const PlannedSweep& p : plan.sweeps) {
    low = std::min(low, p.height_m);
    high = std::max(high, p.height_m);
  }
  EXPECT_LT(low, 0.92 - 0.15);
  EXPECT_GT(high, 0.92 + 0.15);
}

TEST(Plan, SeveralDistancesGetDifferentHeights) {
  Survey s = loft();
  s.plan.distances_m = {1.5, 2.0, 2.6};
  PlanOptions o;
  o.count = 9;
  const Schedule plan = plan_sweeps(s, o);
  std::vector<double> scaled[3];
  for (const PlannedSweep& p : plan.sweeps) {
    const int j = p.distance_m < 1.7 ? 0 : p.distance_m < 2.3 ? 1 : 2;
    scaled[j].push_back((p.height_m - 0.92) / (p.distance_m - 0.11));
  }
  EXPECT_FALSE(scaled[0].empty());
  EXPECT_FALSE(scaled[2].empty());
  int same = 0;
  for (const double a : scaled[0]) {
    for (const double b : scaled[2]) {
      same += std::abs(a - b) < 0.005;
    }
  }
  EXPECT_LE(same, 1);
}

TEST(Plan, WithoutDistancesSomeAreProposedWithReasons) {
  const Schedule plan = plan_sweeps(loft(), {});
  ASSERT_FALSE(plan.sweeps.empty());
  EXPECT_NEAR(plan.sweeps.front().distance_m, 2.1, 0.3);
  EXPECT_FALSE(plan.reasons.empty());
}

TEST(Plan, StepsAreFinestInTheCoreAndShortInTheSkirt) {
  Survey s = loft();
  s.plan.distances_m = {1.8};
  PlanOptions o;
  o.count = 1;
  const Schedule plan = plan_sweeps(s, o);
  const auto& stops = plan.sweeps.at(0).stops;
  ASSERT_GT(stops.size(), 10u);
  const std::size_t middle = stops.size() / 2;
  EXPECT_LT(stops[middle + 1].angle_rad - stops[middle].angle_rad,
            0.6 * (stops[1].angle_rad - stops[0].angle_rad));
  EXPECT_LT(stops.front().dwell_s, stops[middle].dwell_s);
  EXPECT_GT(plan.minutes_saved_by_stops, 0.0);
}

TEST(Plan, TooLittleTimeIsRefusedWithWhatItWouldTake) {
  Survey s = loft();
  s.plan.distances_m = {1.8};
  PlanOptions o;
  o.budget_s = 300.0;
  try {
    (void)plan_sweeps(s, o);
    FAIL() << "five minutes are no plan";
  } catch (const NumericalError& e) {
    EXPECT_NE(std::string(e.what()).find("minutes"), std::string::npos);
  }
}

TEST(Plan, ARoomTooSmallForTheOutletIsRefused) {
  Survey s = loft();
  s.outlet.diameter_m = 1.2;
  s.room.width_m = 2.0;
  s.room.height_m = 2.2;
  EXPECT_THROW((void)plan_sweeps(s, {}), NumericalError);
}

TEST(Plan, AWishBelowWhatTheProbeAllowsIsRefused) {
  Survey s = loft();
  s.plan.distances_m = {1.8};
  s.probe.scale_uncertainty = 0.05;
  PlanOptions o;
  o.wished_share = 0.03;
  EXPECT_THROW((void)plan_sweeps(s, o), NumericalError);
}

TEST(Plan, AfterSweepsTheNextOneGoesWhereNothingIsKnown) {
  test::SurveyPlan measured;
  measured.heights_m = {{0.62, 0.76, 0.90}};  // nothing above the middle
  measured.seed = 3;
  const Survey survey = test::make_survey(test::known_field("gauss"), measured);
  PlanOptions o;
  o.count = 1;
  const Schedule plan = plan_sweeps(survey, o);
  EXPECT_FALSE(plan.before_any_data);
  ASSERT_EQ(plan.sweeps.size(), 1u);
  EXPECT_GT(plan.sweeps.front().height_m, 0.92);
}

TEST(Plan, ADistanceWithoutSweepsIsForeseenFromTheOthersAndSweptNext) {
  test::SurveyPlan measured;
  measured.count = 5;
  measured.distances_m = {1.8};
  measured.seed = 4;
  Survey survey = test::make_survey(test::known_field("gauss"), measured);
  survey.plan.distances_m = {1.8, 2.4};
  PlanOptions o;
  o.count = 3;
  const Schedule plan = plan_sweeps(survey, o);
  ASSERT_EQ(plan.sweeps.size(), 3u);
  EXPECT_NEAR(plan.sweeps.front().distance_m, 2.4, 1e-9);
  // A jet keeps its momentum, so the fit at 1.8 m says what to expect at 2.4 m; there the doubt is
  // largest.
  const PlannedSweep& first = plan.sweeps.front();
  const double expected = first.momentum_uncertainty_after_n / first.target_share_after;
  const double truth = 1.2 * test::known_field("gauss").exact(2.4).momentum_over_density_m4_s2;
  EXPECT_NEAR(expected / truth, 1.0, 0.1);
  EXPECT_LT(plan.sweeps.back().target_share_after, plan.target_share_now);
  ASSERT_FALSE(plan.reasons.empty());
  EXPECT_NE(plan.reasons.front().find("2.4"), std::string::npos);
}

TEST(Plan, AWishedDistanceBehindTheOutletIsToldAfterSweepsToo) {
  test::SurveyPlan measured;
  measured.distances_m = {1.8};
  Survey survey = test::make_survey(test::known_field("gauss"), measured);
  survey.outlet.ahead_of_axis_m = 0.11;
  survey.plan.distances_m = {1.8, 0.1};
  survey.rig.motion = Motion::swivel;
  EXPECT_THROW((void)plan_sweeps(survey, {}), InputError);
}

TEST(Plan, AWishIsNotReachedWhileADistanceHasNoSweeps) {
  test::SurveyPlan measured;
  measured.count = 9;
  measured.distances_m = {1.8};
  measured.scale_uncertainty = 0.0;
  measured.offset_uncertainty_m_s = 0.0;
  Survey survey = test::make_survey(test::known_field("gauss"), measured);
  PlanOptions o;
  o.wished_share = 0.12;
  EXPECT_TRUE(plan_sweeps(survey, o).stop);
  survey.plan.distances_m = {1.8, 2.6};
  const Schedule both = plan_sweeps(survey, o);
  EXPECT_FALSE(both.stop);
  ASSERT_FALSE(both.sweeps.empty());
  EXPECT_NEAR(both.sweeps.front().distance_m, 2.6, 1e-9);
}

TEST(Plan, AnUnreadRoomIsToldBesideThePlanAndCountsInNoNumberOfIt) {
  test::SurveyPlan measured;
  Survey survey = test::make_survey(test::known_field("gauss"), measured);
  PlanOptions o;
  o.count = 1;
  const auto tells = [](const Schedule& plan) {
    return std::any_of(plan.caveats.begin(), plan.caveats.end(), [](const std::string& c) {
      return c.find("not read with the fan off") != std::string::npos;
    });
  };
  const Schedule unread = plan_sweeps(survey, o);
  survey.air.ambient_speed_m_s = Measured{0.0, 0.003};
  const Schedule calm = plan_sweeps(survey, o);
  EXPECT_TRUE(tells(unread));
  EXPECT_FALSE(tells(calm));
  EXPECT_NEAR(unread.target_share_now, calm.target_share_now, 0.02 * calm.target_share_now);
  survey.sweeps.clear();
  EXPECT_FALSE(tells(plan_sweeps(survey, o)));
  survey.air.ambient_speed_m_s.reset();
  EXPECT_TRUE(tells(plan_sweeps(survey, o)));
}

/// Rows that a plan for a tall outlet asks for first: its ends are what one row cannot tell.
TEST(Plan, TheEndsOfATallStreamAreSoughtOnceItsMiddleIsKnown) {
  test::SurveyPlan measured;
  measured.heights_m = {{0.9}};
  measured.seed = 2;
  const Survey survey = test::make_survey(test::known_field("slot"), measured);
  PlanOptions o;
  o.count = 2;
  const Schedule plan = plan_sweeps(survey, o);
  ASSERT_EQ(plan.sweeps.size(), 2u);
  double low = 9.0, high = 0.0;
  for (const PlannedSweep& p : plan.sweeps) {
    low = std::min(low, p.height_m);
    high = std::max(high, p.height_m);
  }
  EXPECT_LT(low, 0.75);
  EXPECT_GT(high, 1.05);
}

TEST(Plan, AfterASweepThatHeardNothingTheStreamIsSoughtElsewhere) {
  test::SurveyPlan measured;
  measured.heights_m = {{0.66}};  // the stream's middle is 2.4 half widths above
  Survey survey = test::make_survey(test::known_field("offset"), measured);
  for (const Reading& reading : survey.sweeps.front().readings) {
    ASSERT_EQ(reading.speed_m_s, 0.0);
  }
  PlanOptions o;
  o.count = 1;
  const Schedule plan = plan_sweeps(survey, o);
  ASSERT_EQ(plan.sweeps.size(), 1u);
  EXPECT_GT(plan.sweeps.front().height_m, 0.66 + 0.17);
  ASSERT_FALSE(plan.caveats.empty());
  EXPECT_NE(plan.caveats.front().find("sought elsewhere"), std::string::npos);
}

TEST(Plan, AReachedWishMeansStop) {
  test::SurveyPlan measured;
  measured.count = 9;
  measured.scale_uncertainty = 0.0;
  measured.offset_uncertainty_m_s = 0.0;
  const Survey survey = test::make_survey(test::known_field("gauss"), measured);
  PlanOptions o;
  o.wished_share = 0.3;
  const Schedule plan = plan_sweeps(survey, o);
  EXPECT_TRUE(plan.stop);
  EXPECT_TRUE(plan.sweeps.empty());
  EXPECT_NE(plan.why.find("stop"), std::string::npos);
}

}  // namespace
}  // namespace sweepflux
