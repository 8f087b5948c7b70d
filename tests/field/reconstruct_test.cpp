#include "sweepflux/base/error.hpp"
#include "sweepflux/derive/sample/samples.hpp"
#include "sweepflux/map/map_survey.hpp"
#include "tests/support/known_fields.hpp"
#include "tests/support/make_survey.hpp"
#include "tests/support/momentum_error.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace sweepflux {
namespace {

using test::known_field;
using test::KnownField;
using test::make_survey;
using test::SurveyPlan;

SurveyPlan five_heights(std::uint64_t seed) {
  SurveyPlan plan;
  plan.seed = seed;
  plan.scale_uncertainty = 0.0;
  plan.offset_uncertainty_m_s = 0.0;
  return plan;
}

/// Three planes, `count` heights each, dealt round.
SurveyPlan three_planes(std::uint64_t seed, int count) {
  SurveyPlan plan = five_heights(seed);
  plan.distances_m = {1.4, 1.8, 2.2};
  plan.count = count;
  plan.rule = test::HeightRule::dealt_round;
  return plan;
}

struct Score {
  double flow_error = 0.0, momentum_error = 0.0;
  double momentum_half_interval = 0.0;  // share of the truth
  bool flow_covered = false, momentum_covered = false;
};

Score score(const char* name, const SurveyPlan& plan) {
  const auto& field = known_field(name);
  const SurveyResult result = map_survey(make_survey(field, plan));
  const PlaneResult& p = result.planes.at(0);
  const auto exact = field.exact(p.downstream_m);
  const double momentum = exact.momentum_over_density_m4_s2 * result.density_kg_m3.value;
  Score s;
  s.flow_error = p.volume_flow_m3_s.value / exact.volume_flow_m3_s - 1.0;
  s.momentum_error = p.momentum_flux_n.value / momentum - 1.0;
  s.flow_covered = p.volume_flow_m3_s.low_95 <= exact.volume_flow_m3_s &&
                   exact.volume_flow_m3_s <= p.volume_flow_m3_s.high_95;
  s.momentum_covered =
      p.momentum_flux_n.low_95 <= momentum && momentum <= p.momentum_flux_n.high_95;
  s.momentum_half_interval =
      0.5 * (p.momentum_flux_n.high_95 - p.momentum_flux_n.low_95) / momentum;
  return s;
}

TEST(Reconstruct, FiveHeightsOfTextbookStreamsComeCloseAndAreCovered) {
  int covered = 0, cases = 0;
  std::vector<double> errors;
  for (const char* name : {"gauss", "ellipse20", "annular", "offset", "twin"}) {
    for (std::uint64_t seed : {11u, 12u, 13u, 14u, 15u}) {
      const Score s = score(name, five_heights(seed));
      errors.push_back(std::abs(s.momentum_error));
      covered += s.flow_covered + s.momentum_covered;
      cases += 2;
    }
  }
  std::sort(errors.begin(), errors.end());
  // Over many seeds the scoreboard finds 1.4 % in the median and 4.8 % in one of ten.
  EXPECT_LT(errors[errors.size() / 2], 0.03);
  EXPECT_LT(errors[errors.size() * 9 / 10], 0.1);
  EXPECT_LT(errors[errors.size() - 2], 0.2);  // as once of ten cases, the worst of them
  EXPECT_LT(errors.back(), 0.25);
  EXPECT_GE(covered, cases - 3);
}

TEST(Reconstruct, MoreHeightsNarrowTheInterval) {
  SurveyPlan few = five_heights(3), many = five_heights(3);
  few.count = 4;
  many.count = 9;
  const SurveyResult a = map_survey(make_survey(known_field("gauss"), few));
  const SurveyResult b = map_survey(make_survey(known_field("gauss"), many));
  EXPECT_LT(b.planes[0].momentum_flux_n.standard_uncertainty,
            a.planes[0].momentum_flux_n.standard_uncertainty);
}

TEST(Reconstruct, AirThatDriftsAlongWidensTheIntervalUnlessItWasMeasured) {
  // The drift of 0.1 m/s adds some 17 % to the flow and 13 % to the momentum; over 50 surveys of
  // the scoreboard the intervals hold in 98 and 92 %.
  int flow = 0, momentum = 0;
  for (const std::uint64_t seed : {5u, 6u, 7u, 8u, 9u, 10u}) {
    SurveyPlan plan = five_heights(seed);
    plan.count = 7;
    const Score unread = score("drift", plan);
    flow += unread.flow_covered ? 1 : 0;
    momentum += unread.momentum_covered ? 1 : 0;
    EXPECT_GT(unread.flow_error, 0.06);
    plan.ambient_speed_m_s = Measured{0.1, 0.01};
    const Score measured = score("drift", plan);
    EXPECT_TRUE(measured.flow_covered);
    EXPECT_LT(std::abs(measured.flow_error), 0.06);
  }
  EXPECT_GE(flow, 5);
  EXPECT_GE(momentum, 5);
}

TEST(Reconstruct, ARoomNotReadIsTakenToBeAtRestAndItsDriftIsADoubtOfItsOwn) {
  SurveyPlan plan = five_heights(5);
  const auto plane = [&] { return map_survey(make_survey(known_field("gauss"), plan)).planes[0]; };
  const auto drift_of = [](const PlaneResult& p, const std::string& source) {
    for (const BudgetRow& row : p.budget) {
      if (row.source == source) {
        return row.momentum_flux_n;
      }
    }
    return 0.0;
  };
  const PlaneResult unread = plane();
  plan.ambient_speed_m_s = Measured{0.0, 0.003};
  const PlaneResult calm = plane();
  EXPECT_NEAR(
      unread.momentum_flux_n.value, calm.momentum_flux_n.value, 1e-3 * calm.momentum_flux_n.value);
  const std::string source = "ambient drift, not read";
  EXPECT_GT(drift_of(unread, source), 0.02 * unread.momentum_flux_n.value);
  EXPECT_EQ(drift_of(calm, source), 0.0);
  for (const PlaneResult& p : {unread, calm}) {
    double square = 0.0;
    for (const BudgetRow& row : p.budget) {
      square += row.momentum_flux_n * row.momentum_flux_n;
    }
    const double u = p.momentum_flux_n.standard_uncertainty;
    EXPECT_NEAR(std::sqrt(square), u, 1e-9 * u);  // the budget has all of it
  }
  const Estimate& wide = unread.momentum_flux_n;
  const Estimate& narrow = calm.momentum_flux_n;
  EXPECT_LT(wide.low_95, narrow.low_95);
  EXPECT_GE(wide.high_95, narrow.high_95);
  EXPECT_GT(wide.standard_uncertainty, narrow.standard_uncertainty);
}

TEST(Reconstruct, OneLoneSweepGivesAnAnswerThatSaysWhatItRestsOn) {
  SurveyPlan plan = five_heights(2);
  plan.heights_m = {{0.9}};
  const SurveyResult result = map_survey(make_survey(known_field("gauss"), plan));
  const PlaneResult& p = result.planes.at(0);
  ASSERT_FALSE(p.warnings.empty());
  EXPECT_NE(p.warnings.front().find("only one height"), std::string::npos);
  EXPECT_GT(p.momentum_flux_n.standard_uncertainty, 0.15 * p.momentum_flux_n.value);
}

TEST(Reconstruct, AFloorThatIsNamedEndsTheStream) {
  const Score s = score("floor", five_heights(4));
  EXPECT_LT(std::abs(s.momentum_error), 0.06);
  EXPECT_LT(std::abs(s.flow_error), 0.06);
}

TEST(Reconstruct, StaggeredPlanesTellEachOtherWhatOneAloneCannotKnow) {
  const SurveyPlan three = three_planes(6, 3);
  const auto& field = known_field("gauss");
  const SurveyResult pooled = map_survey(make_survey(field, three));
  ASSERT_EQ(pooled.planes.size(), 3u);
  SurveyPlan one = three;
  one.distances_m = {1.8};
  one.rule = test::HeightRule::to_the_ends;
  one.heights_m = {test::heights_of(field, three).at(1)};
  const SurveyResult alone = map_survey(make_survey(field, one));
  EXPECT_LT(pooled.planes[1].momentum_flux_n.standard_uncertainty,
            0.9 * alone.planes[0].momentum_flux_n.standard_uncertainty);
  EXPECT_NEAR(test::momentum_error(field, pooled, pooled.planes[1]), 0.0, 0.06);
}

TEST(Reconstruct, NoPeakIsMadeUpBetweenTheRowsOfPlanesTogether) {
  // Two cores with a peak between the rows fit a turned ellipse as well as one core does; what is
  // held of streams before any reading speaks against them.
  // Two surveys in which such cores weighed a third and read up to 17 % high.
  for (const std::uint64_t seed : {6930391492363089276u, 6930389293339832854u}) {
    const auto& field = known_field("ellipse20");
    const SurveyResult result = map_survey(make_survey(field, three_planes(seed, 3)));
    for (const PlaneResult& p : result.planes) {
      EXPECT_NEAR(test::momentum_error(field, result, p), 0.0, 0.08);
    }
  }
}

struct PlaneErrors {
  double mean = 0.0, largest = 0.0;  ///< of |error| of the momentum
};

PlaneErrors plane_errors(const KnownField& field, const std::vector<Survey>& surveys) {
  PlaneErrors all;
  int planes = 0;
  for (const Survey& survey : surveys) {
    const SurveyResult result = map_survey(survey);
    for (const PlaneResult& p : result.planes) {
      const double error = std::abs(test::momentum_error(field, result, p));
      all.mean += error;
      all.largest = std::max(all.largest, error);
      ++planes;
    }
  }
  all.mean /= planes;
  return all;
}

std::vector<Survey> four_surveys(const KnownField& field,
                                 int count,
                                 double outlet_named_higher_m = 0.0) {
  std::vector<Survey> all;
  for (std::uint64_t seed = 1; seed <= 4; ++seed) {
    all.push_back(make_survey(field, three_planes(seed, count)));
    all.back().outlet.centre_height_m += outlet_named_higher_m;
  }
  return all;
}

/// Every plane a survey of its own.
std::vector<Survey> apart(const std::vector<Survey>& surveys) {
  std::vector<Survey> all;
  for (const Survey& survey : surveys) {
    for (const double distance_m : {1.4, 1.8, 2.2}) {
      all.push_back(survey);
      std::erase_if(all.back().sweeps, [&](const Sweep& s) { return s.distance_m != distance_m; });
    }
  }
  return all;
}

TEST(Reconstruct, ThreeHeightsEachOfPlanesTogetherComeAsCloseAsFiveAlone) {
  double three = 0.0, five = 0.0;
  for (const char* name : {"gauss", "ellipse20", "offset", "slot"}) {
    const KnownField& field = known_field(name);
    three += plane_errors(field, four_surveys(field, 3)).mean / 4.0;
    five += plane_errors(field, apart(four_surveys(field, 5))).mean / 4.0;
  }
  EXPECT_LT(three, five);
  printf("%g %g\n", three, five);
}

TEST(Reconstruct, AnOutletNamedTenCentimetresOffIsOverruledByPlanesTogether) {
  const KnownField& round = known_field("gauss");
  const KnownField& oblong = known_field("ellipse20");
  EXPECT_LT(plane_errors(round, four_surveys(round, 3, 0.1)).largest, 0.08);
  EXPECT_LT(plane_errors(oblong, four_surveys(oblong, 3, -0.1)).largest, 0.08);
}

TEST(Reconstruct, APlaneThatIsStrongerThanItsNeighboursIsNotDrawnToThem) {
  const KnownField& stronger = known_field("stronger-middle");
  // Its momentum is a third more than theirs.
  EXPECT_LT(plane_errors(stronger, four_surveys(stronger, 4)).mean, 0.02);
}

TEST(Reconstruct, AWildSweepIsKeptAndItOrItsNeighbourIsNamed) {
  SurveyPlan plan = five_heights(7);
  plan.count = 7;
  Survey survey = make_survey(known_field("gauss"), plan);
  for (Reading& r : survey.sweeps[2].readings) {
    r.speed_m_s *= 0.5;
  }
  const SurveyResult result = map_survey(survey);
  const PlaneResult& p = result.planes.at(0);
  EXPECT_EQ(p.sweeps, 7u);
  const auto worst = std::max_element(
      p.held_out.begin(), p.held_out.end(), [](const HeldOutSweep& a, const HeldOutSweep& b) {
        return a.z_score < b.z_score;
      });
  ASSERT_NE(worst, p.held_out.end());
  // Left out, a sweep is foretold from its neighbours: a wild one spoils theirs as well.
  EXPECT_TRUE(worst->sweep == survey.sweeps[1].name || worst->sweep == survey.sweeps[2].name ||
              worst->sweep == survey.sweeps[3].name)
      << worst->sweep;
  EXPECT_GT(worst->z_score, 1.8);
  const bool named = std::any_of(p.warnings.begin(), p.warnings.end(), [&](const std::string& w) {
    return w.find(worst->sweep) != std::string::npos;
  });
  EXPECT_TRUE(named);
}

/// Relative error of the momentum when the survey names another outlet than the field's own.
double error_when_named(const char* name, const SurveyPlan& plan, double diameter_m) {
  const auto& field = known_field(name);
  Survey survey = make_survey(field, plan);
  if (survey.outlet.shape == OutletShape::slot) {
    survey.outlet = {};
    survey.outlet.centre_height_m = field.outlet_height_m;
  }
  survey.outlet.diameter_m = diameter_m;
  const SurveyResult result = map_survey(survey);
  return test::momentum_error(field, result, result.planes.at(0));
}

TEST(Reconstruct, AStreamAsTallAsItsOutletIsReadBetterWhenTheOutletIsNamed) {
  double named = 0.0, round = 0.0;
  for (std::uint64_t seed = 1; seed <= 5; ++seed) {
    SurveyPlan plan = five_heights(seed);
    plan.heights_m = {{0.5, 0.9, 1.3}};
    named += std::abs(score("slot", plan).momentum_error);
    round += std::abs(error_when_named("slot", plan, 0.3));
  }
  EXPECT_LT(named, 0.7 * round);
  EXPECT_LT(named / 5.0, 0.2);
}

TEST(Reconstruct, AStreamOfNoKnownShapeIsNotDoubtedTwice) {
  // The process about the shapes carries the doubt that none of them holds; the misfit of the
  // shapes on top of it made this 1.00 to either side.
  double half_width = 0.0;
  for (std::uint64_t seed = 1; seed <= 4; ++seed) {
    const Score s = score("sheared", five_heights(seed));
    EXPECT_TRUE(s.momentum_covered) << seed;
    half_width += s.momentum_half_interval / 4.0;
  }
  EXPECT_LT(half_width, 0.85);
}

TEST(Reconstruct, ASharpFootMayHaveLessSkirtThanShapesThatDoNotHold) {
  // Two surveys whose flow read 7 % high, beyond its interval, while the skirt was doubted no
  // more than that of a shape that holds.
  for (const std::uint64_t seed : {4366209908871125821u, 281254900480848191u}) {
    SurveyPlan plan = five_heights(seed);
    plan.motion = Motion::traverse;
    plan.count = 9;
    EXPECT_TRUE(score("ramp", plan).flow_covered) << seed;
  }
}

TEST(Reconstruct, AnOutletNamedTooLargeIsOverruledByFiveHeights) {
  for (std::uint64_t seed = 1; seed <= 3; ++seed) {
    EXPECT_LT(std::abs(error_when_named("gauss", five_heights(seed), 0.45)), 0.06) << seed;
  }
}

TEST(Reconstruct, EveryAlternativeMethodGivesItsNumbers) {
  const Survey survey = make_survey(known_field("gauss"), five_heights(8));
  for (const Method method :
       {Method::kriging, Method::linear, Method::thin_plate, Method::inverse_distance}) {
    MapOptions options;
    options.method = method;
    const PlaneResult p = map_survey(survey, options).planes.at(0);
    EXPECT_GT(p.volume_flow_m3_s.value, 0.2);
    EXPECT_LT(p.volume_flow_m3_s.value, 0.7);
    EXPECT_GT(p.momentum_flux_n.standard_uncertainty, 0.0);
  }
}

TEST(Reconstruct, CalmReadingsAloneAreNoStream) {
  Survey survey = make_survey(known_field("gauss"), five_heights(9));
  for (Sweep& s : survey.sweeps) {
    for (Reading& r : s.readings) {
      r.speed_m_s = 0.0;
    }
  }
  EXPECT_THROW((void)map_survey(survey), NumericalError);
}

}  // namespace
}  // namespace sweepflux
