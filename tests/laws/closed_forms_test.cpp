// Jets whose flow and momentum are known in closed form, from readings without error through the
// whole chain. Formulas: Gaussian Q = pi/ln2 U r^2, M = rho pi/(2 ln2) U^2 r^2; constant viscosity
// [Schlichting 1933] Q = pi/a U r^2, M = rho pi/(3a) U^2 r^2 with a = sqrt2 - 1; measured round jet
// [Hussein 1994, Table 4] by its own polynomial-times-Gaussian integrals 5.0593 and 2.3572.
#include "sweepflux/result/map_survey.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <numbers>

namespace sweepflux {
namespace {

constexpr double distance = 2.0, half = 0.19, peak = 3.0;
const double ln2 = std::log(2.0);

/// A traverse without errors over a plane where u = peak shape(r / half).
Survey measured(const std::function<double(double)>& shape,
                double shift_y = 0.0,
                double gain = 1.0,
                double distance_m = distance) {
  Survey s;
  s.file = "made.toml";
  s.outlet.diameter_m = 0.3;
  s.outlet.centre_height_m = 1.2;
  s.rig.motion = Motion::traverse;
  s.rig.distance_uncertainty_m = 0.0;
  s.rig.height_uncertainty_m = 0.0;
  s.air.ambient_speed_m_s = Measured{0.0, 0.0};
  const double r = half * distance_m / distance;
  for (int k = 0; k < 9; ++k) {
    Sweep sweep;
    sweep.distance_m = distance_m;
    sweep.height_m = 1.2 + (k - 4) * 0.16 * distance_m / distance;
    sweep.name = "row " + std::to_string(k);
    for (int i = -24; i <= 24; ++i) {
      const double y = 0.04 * i * distance_m / distance;
      Reading reading;
      reading.position = y;
      reading.line = static_cast<std::size_t>(i + 26);
      const double eta = std::hypot(y - shift_y, sweep.height_m - 1.2) / r;
      reading.speed_m_s = gain * peak * distance / distance_m * shape(eta);
      sweep.readings.push_back(reading);
    }
    s.sweeps.push_back(sweep);
  }
  return s;
}

double gaussian(double eta) { return std::exp2(-eta * eta); }

SurveyResult mapped(const Survey& survey) {
  MapOptions options;
  options.threads = 2;
  options.hold_out = options.next_sweep = false;
  return map_survey(survey, options);
}

/// The jet that others are compared with, mapped once.
const SurveyResult& gaussian_jet() {
  static const SurveyResult result = mapped(measured(gaussian));
  return result;
}

TEST(ClosedForms, GaussianJetGivesFlowAndMomentumToOnePerCent) {
  const SurveyResult& all = gaussian_jet();
  const PlaneResult& p = all.planes.at(0);
  const double rho = all.density_kg_m3.value;
  EXPECT_NEAR(p.volume_flow_m3_s.value / (std::numbers::pi / ln2 * peak * half * half), 1.0, 0.01);
  EXPECT_NEAR(
      p.momentum_flux_n.value / (rho * std::numbers::pi / (2.0 * ln2) * peak * peak * half * half),
      1.0,
      0.01);
  EXPECT_NEAR(p.half_width_y_m, half, 1e-3);
  EXPECT_NEAR(p.half_width_z_m, half, 1e-3);
  // The map has no cell at the very middle.
  EXPECT_NEAR(p.peak_speed_m_s, peak, 4e-3 * peak);
}

TEST(ClosedForms, ConstantViscosityJetGivesItsMomentumToOnePerCent) {
  const double a = std::numbers::sqrt2 - 1.0;
  const SurveyResult all =
      mapped(measured([a](double eta) { return std::pow(1.0 + a * eta * eta, -2.0); }));
  const PlaneResult& p = all.planes.at(0);
  const double m =
      all.density_kg_m3.value * std::numbers::pi / (3.0 * a) * peak * peak * half * half;
  EXPECT_NEAR(p.momentum_flux_n.value / m, 1.0, 0.01);
  // A quarter of its flow is extrapolated, half a per cent beyond twenty half widths.
  EXPECT_NEAR(p.volume_flow_m3_s.value / (std::numbers::pi / a * peak * half * half), 1.0, 0.01);
}

TEST(ClosedForms, MeasuredRoundJetGivesFlowAndMomentumToOnePerCent) {
  // u/U = (1 + 12.12 n^2 + 2815 n^4) exp(-111 n^2), half radius at n = 0.0936 [Hussein 1994].
  const auto shape = [](double eta) {
    const double n2 = 0.0936 * 0.0936 * eta * eta;
    return (1.0 + 12.12 * n2 + 2815.0 * n2 * n2) * std::exp(-111.0 * n2);
  };
  const SurveyResult all = mapped(measured(shape));
  const PlaneResult& p = all.planes.at(0);
  EXPECT_NEAR(p.volume_flow_m3_s.value / (5.0593 * peak * half * half), 1.0, 0.01);
  EXPECT_NEAR(
      p.momentum_flux_n.value / (all.density_kg_m3.value * 2.3572 * peak * peak * half * half),
      1.0,
      0.01);
}

TEST(ClosedForms, SelfSimilarJetKeepsMomentumAndEntrainsAsPublished) {
  // Mass flow 0.282 x sqrt(rho M) [Ricou & Spalding 1961]: a Gaussian jet that spreads by 0.0942
  // carries 0.282 (calc: 2 sqrt(2 pi/ln2) S / 2 ... = S sqrt(2 pi / ln2) = 0.2836 at S = 0.0942).
  Survey survey = measured(gaussian, 0.0, 1.0, 1.5);
  for (const double x : {2.0, 2.6}) {
    for (const Sweep& s : measured(gaussian, 0.0, 1.0, x).sweeps) {
      survey.sweeps.push_back(s);
    }
  }
  const SurveyResult all = mapped(survey);
  ASSERT_EQ(all.planes.size(), 3u);
  const double rho = all.density_kg_m3.value;
  const double spread = half / distance;
  for (const PlaneResult& p : all.planes) {
    EXPECT_NEAR(p.momentum_flux_n.value / all.planes[0].momentum_flux_n.value, 1.0, 0.01);
    const double constant =
        rho * p.volume_flow_m3_s.value / (p.distance_m * std::sqrt(rho * p.momentum_flux_n.value));
    EXPECT_NEAR(constant, spread * std::sqrt(2.0 * std::numbers::pi / ln2), 0.006);
    EXPECT_NEAR(constant * 0.0942 / spread, 0.282, 0.008);
  }
}

TEST(ClosedForms, TenTimesTheFlowGoesWithATenthOfTheSpeedAtEqualMomentum) {
  // Common practice, no published source; exact for jets of one shape: M ~ rho Q U.
  const PlaneResult& near = gaussian_jet().planes.at(0);
  Survey far = measured(gaussian, 0.0, 1.0, 10.0 * distance);
  for (Sweep& s : far.sweeps) {
    s.height_m += 12.0 - 1.2;
  }
  far.outlet.centre_height_m = 12.0;
  const PlaneResult there = mapped(far).planes.at(0);
  EXPECT_NEAR(there.momentum_flux_n.value / near.momentum_flux_n.value, 1.0, 0.01);
  EXPECT_NEAR(there.peak_speed_m_s / near.peak_speed_m_s, 0.1, 2e-3);
  EXPECT_NEAR(there.volume_flow_m3_s.value / near.volume_flow_m3_s.value, 10.0, 0.15);
}

// Noise that reads as none and a drift in m/s keep the draws of both from being the same ones.
TEST(ClosedForms, DoubledSpeedsDoubleFlowAndQuadrupleMomentum) {
  const PlaneResult& once = gaussian_jet().planes.at(0);
  const PlaneResult twice = mapped(measured(gaussian, 0.0, 2.0)).planes.at(0);
  EXPECT_NEAR(twice.volume_flow_m3_s.value / once.volume_flow_m3_s.value, 2.0, 0.02);
  EXPECT_NEAR(twice.momentum_flux_n.value / once.momentum_flux_n.value, 4.0, 0.04);
  EXPECT_NEAR(twice.kinetic_power_w.value / once.kinetic_power_w.value, 8.0, 0.12);
}

TEST(ClosedForms, AStreamToTheRightIsSeenThereAndItsMirrorImageHasTheSameIntegrals) {
  const Survey right = measured(gaussian, 0.15);
  Survey left = right;
  for (Sweep& s : left.sweeps) {
    for (Reading& r : s.readings) {
      r.position = -r.position;
    }
  }
  const PlaneResult a = mapped(right).planes.at(0), b = mapped(left).planes.at(0);
  EXPECT_NEAR(a.centre.y_m, 0.15, 2e-3);
  EXPECT_NEAR(a.centre.y_m, -b.centre.y_m, 1e-4);
  EXPECT_NEAR(a.volume_flow_m3_s.value / b.volume_flow_m3_s.value, 1.0, 1e-4);
  EXPECT_NEAR(a.momentum_flux_n.value / b.momentum_flux_n.value, 1.0, 1e-4);
  ASSERT_EQ(a.map.ny, b.map.ny);
  for (std::size_t i = 0; i < a.map.ny; ++i) {
    const std::size_t row = a.map.nz / 2 * a.map.ny;
    EXPECT_NEAR(a.map.speed_m_s[row + i], b.map.speed_m_s[row + a.map.ny - 1 - i], 5e-3);
  }
}

}  // namespace
}  // namespace sweepflux
