#include "sweepflux/judge/budget_private.hpp"
#include "tests/support/dice.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace sweepflux {
namespace {

constexpr double density = 1.2, momentum_flux_n = 0.9, entrainment = 0.3, spread = 0.1, origin_m = -0.2;
constexpr std::size_t draws = 400;

/// Planes of a stream that grows along straight lines; `relative` the spread of each plane's
/// momentum, `growth` how much more the farthest has than the nearest.
struct Made {
  KnownStream known;
  std::vector<BudgetedPlane> budgets;
};

Made made(const std::vector<double>& downstream, const std::vector<double>& relative,
          double growth = 0.0) {
  test::Dice dice(9);
  Made m;
  for (std::size_t j = 0; j < downstream.size(); ++j) {
    PlaneSamples plane;
    plane.distance_m = plane.downstream_m = downstream[j];
    plane.samples.resize(1);
    PlaneDraws d;
    BudgetedPlane b;
    const double part = downstream.size() > 1
                            ? static_cast<double>(j) / static_cast<double>(downstream.size() - 1)
                            : 0.0;
    for (std::size_t i = 0; i < draws; ++i) {
      const double width = spread * (downstream[j] - origin_m);
      d.half_width_y_m.push_back(width * 1.25);
      d.half_width_z_m.push_back(width / 1.25);
      b.momentum_flux_n.push_back(momentum_flux_n * (1.0 + growth * part) * (1.0 + dice.normal(relative[j])));
      b.flow_m3_s.push_back(0.05 + entrainment * std::sqrt(momentum_flux_n / density) * downstream[j]);
    }
    m.known.planes.push_back(plane);
    m.known.draws.push_back(d);
    m.budgets.push_back(b);
  }
  return m;
}

StreamSummary summary(const Made& m) { return summarise_stream(m.known, m.budgets, density); }

TEST(StreamSummary, ReadsTheStraightLinesOfAStream) {
  const StreamSummary s = summary(made({1.0, 1.5, 2.4}, {1e-6, 1e-6, 1e-6}));
  EXPECT_NEAR(s.momentum_flux_n.value, momentum_flux_n, 1e-5);
  EXPECT_NEAR(s.spread_rate->value, spread, 1e-9);
  EXPECT_NEAR(s.virtual_origin_m->value, origin_m, 1e-9);
  EXPECT_NEAR(s.entrainment_rate->value, entrainment, 1e-5);
  EXPECT_NEAR(s.momentum_change->value, 0.0, 1e-5);
}

TEST(StreamSummary, WeighsThePlanesByTheirVariance) {
  const StreamSummary s = summary(made({1.0, 2.0}, {0.01, 0.04}));
  // 1 / (1/0.01^2 + 1/0.04^2).
  const double wanted = momentum_flux_n / std::sqrt(1e4 + 625.0);
  EXPECT_NEAR(s.momentum_flux_n.standard_uncertainty / wanted, 1.0, 0.1);
  EXPECT_TRUE(s.momentum_constant);
}

TEST(StreamSummary, SeesMomentumThatGrows) {
  const StreamSummary s = summary(made({1.0, 1.5, 2.0}, {0.01, 0.01, 0.01}, 0.15));
  EXPECT_FALSE(s.momentum_constant);
  EXPECT_NEAR(s.momentum_change->value, 0.15, 0.01);
}

TEST(StreamSummary, OfOnePlaneIsItsMomentum) {
  const StreamSummary s = summary(made({1.5}, {0.02}));
  EXPECT_NEAR(s.momentum_flux_n.value, momentum_flux_n, 0.01);
  EXPECT_FALSE(s.momentum_change.has_value());
  EXPECT_FALSE(s.spread_rate.has_value());
}

TEST(StreamSummary, PassesOverPlanesThatNobodySwept) {
  Made m = made({1.0, 1.5, 2.0}, {0.01, 0.01, 0.01});
  m.known.planes[1].samples.clear();
  m.budgets[1] = {};
  const StreamSummary s = summary(m);
  EXPECT_NEAR(s.spread_rate->value, spread, 1e-9);
}

}  // namespace
}  // namespace sweepflux
