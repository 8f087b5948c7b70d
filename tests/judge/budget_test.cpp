#include "sweepflux/base/statistics.hpp"
#include "sweepflux/field/stream/stream_posterior_private.hpp"
#include "sweepflux/judge/budget_private.hpp"
#include "tests/support/dice.hpp"
#include "tests/support/statistics.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <memory>
#include <vector>

namespace sweepflux {
namespace {

constexpr std::size_t count = 600;

/// Draws of which half the variance of the flow goes with the drift.
struct Made {
  StreamPosterior posterior;
  PlaneDraws draws;
};

Made made_draws() {
  test::Dice dice(3);
  auto parts = std::make_unique<StreamPosterior::Parts>();
  Made made;
  for (std::size_t d = 0; d < count; ++d) {
    const double drift = dice.normal(1.0), rest = dice.normal(1.0);
    SurveyStream stream;
    stream.planes.resize(1);
    stream.drift = 0.01 * drift;
    parts->draws.push_back({stream, {}});
    const double q = 0.5 + 0.01 * (drift + rest), m = 1.0 + 0.03 * (drift + rest);
    made.draws.whole.push_back({q, m, m});
    made.draws.head.push_back({0.0, 0.02, 0.03});
    made.draws.inside.push_back({0.9 * q, 0.95 * m, m});
  }
  made.posterior = StreamPosterior(std::move(parts));
  return made;
}

PlaneSamples plane() {
  PlaneSamples samples;
  samples.distance_m = 2.0;
  samples.common.scale = 0.01;
  samples.common.distance_m = 0.01;
  return samples;
}

double row_named(const BudgetedPlane& budget, const std::string& source) {
  for (const BudgetRow& row : budget.rows) {
    if (row.source == source) {
      return row.momentum_flux_n;
    }
  }
  return 0.0;
}

TEST(Budget, SquaresOfItsRowsAddUpToTheVariance) {
  const Made made = made_draws();
  const BudgetedPlane b = make_budget(
      made.posterior, made.draws, common_draws(count), plane(), true, Measured{1.2, 0.006});
  double flow_2 = 0.0, momentum_2 = 0.0;
  for (const BudgetRow& row : b.rows) {
    flow_2 += row.volume_flow_m3_s * row.volume_flow_m3_s;
    momentum_2 += row.momentum_flux_n * row.momentum_flux_n;
  }
  const double q = estimate_of(b.flow_m3_s).standard_uncertainty;
  const double m = estimate_of(b.momentum_flux_n).standard_uncertainty;
  EXPECT_NEAR(std::sqrt(flow_2), q, 1e-9 * q);
  EXPECT_NEAR(std::sqrt(momentum_2), m, 1e-9 * m);
  // The largest share of the momentum comes first.
  for (std::size_t i = 1; i < b.rows.size(); ++i) {
    EXPECT_GE(b.rows[i - 1].momentum_flux_n, b.rows[i].momentum_flux_n);
  }
}

TEST(Budget, EachRowIsWhatItsSourceAdds) {
  const Made made = made_draws();
  const BudgetedPlane b = make_budget(
      made.posterior, made.draws, common_draws(count), plane(), true, Measured{1.2, 0.006});
  const double m = 1.2 * 1.02;
  EXPECT_NEAR(row_named(b, "probe scale"), 0.02 * m, 0.05 * 0.02 * m);
  EXPECT_NEAR(row_named(b, "distance of the probe"), 0.005 * m, 0.05 * 0.005 * m);
  EXPECT_NEAR(row_named(b, "air density"), 0.005 * m, 0.05 * 0.005 * m);
  EXPECT_NEAR(row_named(b, "size of the probe head"), 0.3 * 1.2 * 0.02, 1e-3);
  const double half = 1.2 * 0.03;
  EXPECT_NEAR(row_named(b, "ambient air speed not measured"), half, 0.15 * half);
  EXPECT_NEAR(row_named(b, "readings, interpolation and extrapolation"), half, 0.15 * half);
  EXPECT_LT(row_named(b, "number of cores"), 1e-6);
}

TEST(Budget, CommonDrawsAreStandardNormalAndDoNotGoTogether) {
  const CommonDraws common = common_draws(count);
  double mean = 0.0, square = 0.0, cross = 0.0;
  for (std::size_t d = 0; d < count; ++d) {
    mean += common.scale[d] / count;
    square += common.scale[d] * common.scale[d] / count;
    cross += common.scale[d] * common.density[d] / count;
  }
  EXPECT_NEAR(mean, 0.0, 1e-9);
  EXPECT_NEAR(square, 1.0, 0.01);
  EXPECT_NEAR(cross, 0.0, 0.12);  // three standard deviations of 600
}

TEST(Budget, EstimatesAreQuantilesOfTheDraws) {
  std::vector<double> draws;
  for (int i = 0; i <= 1000; ++i) {
    draws.push_back(std::pow(0.001 * i, 2));
  }
  const Estimate e = estimate_of(draws);
  EXPECT_NEAR(e.value, 0.25, 1e-9);
  EXPECT_NEAR(e.low_95, 0.025 * 0.025, 1e-9);
  EXPECT_NEAR(e.high_95, 0.975 * 0.975, 1e-9);
  // Of the square of an even variable: variance 1/5 - 1/9.
  EXPECT_NEAR(e.standard_uncertainty, std::sqrt(1.0 / 5 - 1.0 / 9), 1e-3);
}

}  // namespace
}  // namespace sweepflux
