#include "sweepflux/base/parallel.hpp"
#include "sweepflux/derive/sample/samples.hpp"
#include "sweepflux/field/stream/stream_posterior.hpp"
#include "sweepflux/integrate/plane_draws.hpp"
#include "sweepflux/result/map_survey.hpp"
#include "tests/support/known_fields.hpp"
#include "tests/support/make_survey.hpp"
#include "tests/support/momentum_error.hpp"
#include "tests/support/prior_truth.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

// Do intervals hold as often as they say? A small version of tests/bench/calibration.

namespace sweepflux {
namespace {

TEST(StreamCalibration, TruthsOfThePriorRankEvenlyAmongTheirDraws) {
  constexpr std::size_t truths = 20;
  std::vector<double> flow(truths), momentum(truths);
  parallel_for(truths, 2, [&](std::size_t i) {
    const test::PriorTruth truth =
        test::draw_prior_truth(test::round_outlet(), 5, 100 + static_cast<std::uint64_t>(i));
    PosteriorOptions options;
    options.draws = 320;
    options.threads = 1;
    options.prior_speed_m_s = test::prior_truth_speed_m_s;
    const StreamPosterior posterior =
        StreamPosterior::sample(truth.planes, test::round_outlet(), options);
    const PlaneDraws draws = integrate_draws(posterior, 0, Window{}, Probe{}, 1);
    std::vector<double> q, m;
    for (const Triple& one : draws.whole) {
      q.push_back(one[0]);
      m.push_back(one[1]);
    }
    flow[i] = test::rank_of(truth.exact.front()[0], q);
    momentum[i] = test::rank_of(truth.exact.front()[1], m);
  });
  // Four bins of five: a sum above 23 comes once in 25 000 when all is well (chi-square, 3 degrees of
  // freedom).
  EXPECT_LT(test::chi_square(flow, 4), 23.0);
  EXPECT_LT(test::chi_square(momentum, 4), 23.0);
  // Of forty intervals two miss; nine or more come once in 10 000.
  int outside = 0;
  for (const auto* ranks : {&flow, &momentum}) {
    for (const double rank : *ranks) {
      outside += rank < 0.025 || rank > 0.975 ? 1 : 0;
    }
  }
  EXPECT_LT(outside, 9);
}

bool holds(const Estimate& e, double truth) { return e.low_95 <= truth && truth <= e.high_95; }

TEST(StreamCalibration, PublishedProfilesAreHeldByTheirIntervals) {
  for (const test::KnownField& field : test::published_fields()) {
    test::SurveyPlan plan;
    plan.motion = Motion::traverse;
    plan.seed = 21;
    plan.scale_uncertainty = plan.offset_uncertainty_m_s = 0.0;
    plan.thrust = false;
    MapOptions options;
    options.hold_out = options.next_sweep = false;
    const SurveyResult result = map_survey(make_survey(field, plan), options);
    const PlaneResult& p = result.planes.at(0);
    const test::ExactFlux exact = field.exact(p.downstream_m);
    EXPECT_TRUE(holds(p.volume_flow_m3_s, exact.volume_flow_m3_s)) << field.name;
    EXPECT_TRUE(holds(p.momentum_flux_n,
                      exact.momentum_over_density_m4_s2 * result.density_kg_m3.value))
        << field.name;
    // An interval that says nothing would hold as well.
    EXPECT_LT(p.momentum_flux_n.high_95 - p.momentum_flux_n.low_95, 0.4 * p.momentum_flux_n.value)
        << field.name;
  }
}

TEST(StreamCalibration, ASwivelReadsAGaussianJetThatDrawsInAirToTwoPerCentInFlowAndOneInMomentum) {
  const test::KnownField& field = test::known_field("gauss");
  test::SurveyPlan plan = test::without_errors({});
  plan.count = 9;
  plan.thrust = false;
  plan.ambient_speed_m_s = Measured{0.0, 0.0};
  MapOptions options;
  options.hold_out = options.next_sweep = false;
  const SurveyResult result = map_survey(make_survey(field, plan), options);
  const PlaneResult& p = result.planes.at(0);
  const test::ExactFlux exact = field.exact(p.downstream_m);
  EXPECT_NEAR(p.volume_flow_m3_s.value / exact.volume_flow_m3_s, 1.0, 0.02);
  EXPECT_NEAR(test::momentum_error(field, result, p), 0.0, 0.01);
}

}  // namespace
}  // namespace sweepflux
