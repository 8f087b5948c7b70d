#include "sweepflux/plan/schedule.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/integrate/known_stream.hpp"
#include "tests/support/known_fields.hpp"
#include "tests/support/make_survey.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

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
  s.plan.distances_m = {1.8};
  return s;
}

/// Options of the tests, which differ in little.
PlanOptions count_of(std::size_t count) {
  PlanOptions o;
  o.count = count;
  return o;
}

PlanOptions wish_of(double share) {
  PlanOptions o;
  o.wished_share = share;
  return o;
}

/// A day on which nothing is off but the readings' noise, the room read.
test::SurveyPlan plain_day() {
  test::SurveyPlan plan;
  plan.scale_uncertainty = 0.0;
  plan.offset_uncertainty_m_s = 0.0;
  plan.ambient_speed_m_s = Measured{0.0, 0.003};
  return plan;
}

/// Draws take seconds: those that several tests look at are made once.
struct Known {
  Survey survey;
  KnownStream stream;
  explicit Known(Survey s) : survey(std::move(s)), stream(know_for_plan(survey, {})) {}
  [[nodiscard]] Schedule plan(const PlanOptions& options) const {
    return plan_sweeps(survey, stream, options);
  }
};

const Known& before_any_sweep() {
  static const Known known(loft());
  return known;
}

const Known& nine_heights() {
  static const Known known([] {
    test::SurveyPlan day = plain_day();
    day.count = 9;
    return test::make_survey(test::known_field("gauss"), day);
  }());
  return known;
}

/// Both ends of a tall stream are read, a gap of 0.36 m in front of the outlet is not.
test::SurveyPlan day_with_gap() {
  test::SurveyPlan day = plain_day();
  day.heights_m = {{0.44, 0.52, 0.62, 0.98, 1.1, 1.22, 1.34}};
  day.seed = 2;
  return day;
}
const Known& gap_in_front_of_the_outlet() {
  static const Known known(test::make_survey(test::known_field("slot"), day_with_gap()));
  return known;
}

bool has(const std::vector<std::string>& texts, const std::string& part) {
  return std::any_of(texts.begin(), texts.end(), [&](const std::string& text) {
    return text.find(part) != std::string::npos;
  });
}

TEST(Plan, ABudgetIsFilledAndNotOverrun) {
  PlanOptions o;
  o.budget_s = 1800.0;
  const Schedule plan = before_any_sweep().plan(o);
  ASSERT_GE(plan.sweeps.size(), 3u);
  EXPECT_LE(plan.sweeps.back().elapsed_minutes, 30.0);
  EXPECT_GT(plan.sweeps.back().elapsed_minutes, 22.5);
  EXPECT_TRUE(plan.before_any_data);
}

TEST(Plan, BeforeAnyDataTheOutletsHeightIsFirstAndOthersBracketIt) {
  const Schedule plan = before_any_sweep().plan(count_of(5));
  ASSERT_EQ(plan.sweeps.size(), 5u);
  EXPECT_NEAR(plan.sweeps.front().height_m, 0.92, 0.12);
  double low = 9.0, high = 0.0;
  for (const PlannedSweep& p : plan.sweeps) {
    low = std::min(low, p.height_m);
    high = std::max(high, p.height_m);
  }
  EXPECT_LT(low, 0.92 - 0.15);
  EXPECT_GT(high, 0.92 + 0.15);
  // Five sweeps of a good vane know a fan's stream to some 20 % (95 %), not to a factor.
  EXPECT_LT(plan.sweeps.back().target_share_after, 0.2);
  EXPECT_GT(plan.target_share_now, 0.4);
}

TEST(Plan, AShorterPlanIsTheBeginningOfALongerOne) {
  const Schedule all = nine_heights().plan(count_of(5)), some = nine_heights().plan(count_of(2));
  ASSERT_EQ(all.sweeps.size(), 5u);
  ASSERT_EQ(some.sweeps.size(), 2u);
  for (std::size_t i = 0; i < some.sweeps.size(); ++i) {
    EXPECT_EQ(some.sweeps[i].height_m, all.sweeps[i].height_m);
    EXPECT_EQ(some.sweeps[i].target_share_after, all.sweeps[i].target_share_after);
  }
  for (std::size_t i = 1; i < all.sweeps.size(); ++i) {
    EXPECT_LE(all.sweeps[i].target_share_after, all.sweeps[i - 1].target_share_after);
  }
}

TEST(Plan, TheNextSweepIsTheFirstOfThePlan) {
  const Known& known = gap_in_front_of_the_outlet();
  const auto next = next_sweep(known.survey, known.stream);
  const Schedule plan = known.plan(count_of(1));
  ASSERT_TRUE(next);
  ASSERT_FALSE(plan.sweeps.empty());
  EXPECT_EQ(next->height_m, plan.sweeps.front().height_m);
  EXPECT_EQ(next->distance_m, plan.sweeps.front().distance_m);
  EXPECT_EQ(next->momentum_uncertainty_after_n, plan.sweeps.front().momentum_uncertainty_after_n);
}

TEST(Plan, AGapInFrontOfTheOutletIsSweptNext) {
  const Known& known = gap_in_front_of_the_outlet();
  for (const PlanTarget of : {PlanTarget::momentum, PlanTarget::flow, PlanTarget::map}) {
    PlanOptions o = count_of(1);
    o.of = of;
    const Schedule plan = known.plan(o);
    ASSERT_EQ(plan.sweeps.size(), 1u);
    EXPECT_GT(plan.sweeps.front().height_m, 0.65);
    EXPECT_LT(plan.sweeps.front().height_m, 0.95);
  }
}

TEST(Plan, AMirroredSurveyGetsTheSameHeights) {
  Survey mirrored = gap_in_front_of_the_outlet().survey;
  for (Sweep& sweep : mirrored.sweeps) {
    for (Reading& reading : sweep.readings) {
      reading.position = 2.0 * mirrored.rig.angle_zero_rad - reading.position;
    }
  }
  const Schedule plan = gap_in_front_of_the_outlet().plan(count_of(3));
  const Schedule other = plan_sweeps(mirrored, count_of(3));
  ASSERT_EQ(plan.sweeps.size(), other.sweeps.size());
  for (std::size_t i = 0; i < plan.sweeps.size(); ++i) {
    EXPECT_EQ(plan.sweeps[i].height_m, other.sweeps[i].height_m);
    EXPECT_NEAR(plan.sweeps[i].target_share_after / other.sweeps[i].target_share_after, 1.0, 1e-3);
  }
}

TEST(Plan, OneThreadAndTwoGiveTheSameBits) {
  const Known& known = gap_in_front_of_the_outlet();
  PlanOptions one = count_of(3), two = count_of(3);
  one.threads = 1;
  two.threads = 2;
  const Schedule a = known.plan(one), b = known.plan(two);
  ASSERT_EQ(a.sweeps.size(), b.sweeps.size());
  for (std::size_t i = 0; i < a.sweeps.size(); ++i) {
    EXPECT_EQ(a.sweeps[i].height_m, b.sweeps[i].height_m);
    EXPECT_EQ(a.sweeps[i].flow_uncertainty_after_m3_s, b.sweeps[i].flow_uncertainty_after_m3_s);
  }
}

TEST(Plan, NoisierReadingsLeaveMoreUncertainty) {
  test::SurveyPlan day = plain_day();
  day.count = 9;
  day.noise_relative *= 3.0;
  day.noise_m_s *= 3.0;
  const Schedule noisier =
      plan_sweeps(test::make_survey(test::known_field("gauss"), day), count_of(1));
  EXPECT_GT(noisier.sweeps.at(0).target_share_after,
            nine_heights().plan(count_of(1)).sweeps.at(0).target_share_after);
}

/// The rig makes what the plan asks for, and the uncertainty that was predicted is not exceeded
/// much.
TEST(Plan, SweepsThatAreMadeLowerTheUncertaintyAsPredicted) {
  const test::SurveyPlan day = plain_day();
  const test::KnownField& field = test::known_field("gauss");
  Survey survey = test::survey_without_sweeps(field, day);
  test::KnownRig rig(field, day);
  for (const double height : {0.72, 0.9}) {
    survey.sweeps.push_back(rig.sweep(1.8, height, test::even_angles_rad(day)));
  }
  std::vector<double> now, predicted;
  for (int i = 0; i < 4; ++i) {
    const Schedule plan = plan_sweeps(survey, count_of(1));
    ASSERT_EQ(plan.sweeps.size(), 1u);
    const PlannedSweep& next = plan.sweeps.front();
    now.push_back(plan.target_share_now);
    predicted.push_back(next.target_share_after);
    std::vector<double> seen;
    for (const Stop& stop : next.stops) {
      seen.push_back(-stop.position);
    }
    survey.sweeps.push_back(rig.sweep(1.8, next.height_m, seen));
  }
  for (std::size_t i = 1; i < now.size(); ++i) {
    EXPECT_LT(now[i], 1.3 * predicted[i - 1]) << "after " << i + 2 << " sweeps";
  }
  EXPECT_LT(now.back(), 0.6 * now.front());
}

TEST(Plan, SeveralDistancesGetDifferentHeights) {
  Survey s = loft();
  s.plan.distances_m = {1.5, 2.0, 2.6};
  const Schedule plan = plan_sweeps(s, count_of(6));
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
  Survey s = loft();
  s.plan.distances_m.clear();
  const Schedule plan = plan_sweeps(s, count_of(1));
  ASSERT_FALSE(plan.sweeps.empty());
  EXPECT_NEAR(plan.sweeps.front().distance_m, 2.1, 0.3);
  EXPECT_FALSE(plan.reasons.empty());
}

TEST(Plan, StepsAreFinestInTheCoreAndDwellsShortInTheOuterRegion) {
  const Schedule plan = before_any_sweep().plan(count_of(1));
  const auto& stops = plan.sweeps.at(0).stops;
  ASSERT_GT(stops.size(), 10u);
  const std::size_t middle = stops.size() / 2;
  EXPECT_LT(stops[middle + 1].position - stops[middle].position,
            0.6 * (stops[1].position - stops[0].position));
  EXPECT_LT(stops.front().dwell_s, stops[middle].dwell_s);
  EXPECT_GT(plan.minutes_saved_by_stops, 0.0);
}

TEST(Plan, TooLittleTimeIsRefusedWithWhatItWouldTake) {
  PlanOptions o;
  o.budget_s = 300.0;
  try {
    (void)before_any_sweep().plan(o);
    FAIL() << "five minutes are no plan";
  } catch (const NumericalError& e) {
    EXPECT_NE(std::string(e.what()).find("minutes"), std::string::npos);
  }
}

TEST(Plan, ARoomTooSmallForTheOutletIsRefused) {
  Survey s = loft();
  s.plan.distances_m.clear();
  s.outlet.diameter_m = 1.2;
  s.room.width_m = 2.0;
  s.room.height_m = 2.2;
  EXPECT_THROW((void)plan_sweeps(s, {}), NumericalError);
}

TEST(Plan, AWishOutOfReachStallsAndSaysWhatHoldsIt) {
  Survey coarse = nine_heights().survey;
  coarse.probe.scale_uncertainty = 0.05;
  const Schedule plan = plan_sweeps(coarse, nine_heights().stream, wish_of(0.03));
  EXPECT_TRUE(plan.stalls);
  EXPECT_FALSE(plan.stop);
  EXPECT_LT(plan.sweeps.size(), 10u);
  EXPECT_NE(plan.why.find("out of reach"), std::string::npos) << plan.why;
  // dM/M = 2 e for a scale that is off by e; 1.96 of them at 95 %.
  EXPECT_NE(plan.why.find("the probe's scale 20 %"), std::string::npos) << plan.why;
  EXPECT_NE(plan.why.find("calibrated"), std::string::npos) << plan.why;
}

TEST(Plan, AReachedWishMeansStop) {
  const Schedule plan = nine_heights().plan(wish_of(0.3));
  EXPECT_TRUE(plan.stop);
  EXPECT_TRUE(plan.sweeps.empty());
  EXPECT_NE(plan.why.find("stop"), std::string::npos);
}

TEST(Plan, AWishIsNotReachedWhileADistanceHasNoSweeps) {
  Survey survey = nine_heights().survey;
  survey.plan.distances_m = {1.8, 2.6};
  const Schedule both = plan_sweeps(survey, wish_of(0.3));
  EXPECT_FALSE(both.stop);
  ASSERT_FALSE(both.sweeps.empty());
  EXPECT_NEAR(both.sweeps.front().distance_m, 2.6, 1e-9);
  EXPECT_TRUE(has(both.reasons, "2.6"));
  // A jet keeps its momentum, so the readings at 1.8 m say what to expect at 2.6 m.
  const PlannedSweep& first = both.sweeps.front();
  const double expected = first.momentum_uncertainty_after_n / first.momentum_share_after;
  const double truth = 1.2 * test::known_field("gauss").exact(2.6).momentum_over_density_m4_s2;
  EXPECT_NEAR(expected / truth, 1.0, 0.1);
}

TEST(Plan, AfterSweepsTheNextOneGoesWhereNothingIsKnown) {
  test::SurveyPlan measured;
  measured.heights_m = {{0.62, 0.76, 0.90}};  // nothing above the middle
  measured.seed = 3;
  const Schedule plan =
      plan_sweeps(test::make_survey(test::known_field("gauss"), measured), count_of(1));
  EXPECT_FALSE(plan.before_any_data);
  ASSERT_EQ(plan.sweeps.size(), 1u);
  EXPECT_GT(plan.sweeps.front().height_m, 0.92);
}

/// Its ends are what one row cannot tell.
TEST(Plan, TheEndsOfATallStreamAreSoughtOnceItsMiddleIsKnown) {
  test::SurveyPlan measured;
  measured.heights_m = {{0.9}};
  measured.seed = 2;
  const Schedule plan =
      plan_sweeps(test::make_survey(test::known_field("slot"), measured), count_of(2));
  ASSERT_EQ(plan.sweeps.size(), 2u);
  const auto [low, high] = std::minmax(plan.sweeps.front().height_m, plan.sweeps.back().height_m);
  EXPECT_LT(low, 0.75);
  EXPECT_GT(high, 1.05);
}

TEST(Plan, AfterASweepWithoutAReadingTheStreamIsSoughtElsewhere) {
  test::SurveyPlan measured;
  measured.heights_m = {{0.66}};  // the stream's middle is 2.4 half widths above
  Survey survey = test::make_survey(test::known_field("offset"), measured);
  for (const Reading& reading : survey.sweeps.front().readings) {
    ASSERT_EQ(reading.speed_m_s, 0.0);
  }
  const Schedule plan = plan_sweeps(survey, count_of(1));
  ASSERT_EQ(plan.sweeps.size(), 1u);
  EXPECT_GT(plan.sweeps.front().height_m, 0.66 + 0.17);
  EXPECT_TRUE(has(plan.caveats, "sought elsewhere"));
}

TEST(Plan, AWishedDistanceBehindTheOutletIsRefusedAfterSweepsToo) {
  Survey survey = nine_heights().survey;
  survey.outlet.ahead_of_axis_m = 0.11;
  survey.plan.distances_m = {1.8, 0.1};
  EXPECT_THROW((void)plan_sweeps(survey, {}), InputError);
}

TEST(Plan, AnUnreadRoomIsNamedWithWhatItIsWorth) {
  Survey survey = nine_heights().survey;
  const Schedule read = nine_heights().plan(count_of(1));
  survey.air.ambient_speed_m_s.reset();
  const Schedule unread = plan_sweeps(survey, count_of(1));
  EXPECT_TRUE(has(unread.caveats, "ambient air speed was not measured"));
  EXPECT_FALSE(has(read.caveats, "ambient air speed was not measured"));
  EXPECT_GT(unread.target_share_now, read.target_share_now);
}

}  // namespace
}  // namespace sweepflux
