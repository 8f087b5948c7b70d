#include "sweepflux/integrate/plane_draws.hpp"

#include "sweepflux/field/stream/stream_posterior_private.hpp"
#include "sweepflux/field/stream/stream_speed_private.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <memory>
#include <numbers>

namespace sweepflux {
namespace {

using std::numbers::ln2;
using std::numbers::pi;

constexpr double peak_m_s = 3.0, a_m = 0.3, b_m = 0.15;
constexpr PlanePoint middle{0.1, 1.2};

/// A draw of one turned elliptic core without residual, 1 m long in the stream's units.
StreamPosterior one_core(double n, double xi, std::optional<double> floor_m = std::nullopt) {
  auto parts = std::make_unique<StreamPosterior::Parts>();
  parts->scales.length_m = 0.2;
  parts->scales.speed_m_s = 2.0;
  parts->origin = {{0.0, 0.9}};
  parts->floor_m = {floor_m};
  parts->readings.resize(1);
  PlaneStream s;
  s.n = n;
  s.xi = xi;
  Core& c = s.core[0];
  c.amplitude = peak_m_s / 2.0;
  c.y = s.y = middle.y_m / 0.2;
  c.z = s.z = (middle.z_m - 0.9) / 0.2;
  c.a = s.a = a_m / 0.2;
  c.b = s.b = b_m / 0.2;
  c.cosine = s.cosine = floor_m ? 1.0 : std::cos(0.4);
  c.sine = s.sine = floor_m ? 0.0 : std::sin(0.4);
  SurveyStream survey;
  survey.planes = {s};
  parts->draws.push_back({survey, {PlaneDraw{0.0, std::vector<float>(residual_columns, 0.0f)}}});
  return StreamPosterior(std::move(parts));
}

PlaneDraws integrated(const StreamPosterior& stream, const Window& window = {},
                      const Probe& probe = {}) {
  return integrate_draws(stream, 0, window, probe, 1);
}

TEST(PlaneDraws, HaveTheClosedFormsOfAGaussianCore) {
  const PlaneDraws d = integrated(one_core(2.0, 1e-3));
  const double area = pi * a_m * b_m / ln2;
  // The member nearest to the Gaussian has a flow larger by xi in relative terms.
  EXPECT_NEAR(d.whole[0][0] / (area * peak_m_s), 1.0, 2e-3);
  EXPECT_NEAR(d.whole[0][1] / (area * peak_m_s * peak_m_s / 2.0), 1.0, 2e-3);
  EXPECT_NEAR(d.whole[0][2] / (0.5 * area * std::pow(peak_m_s, 3) / 3.0), 1.0, 2e-3);
  EXPECT_NEAR(d.centre[0].y_m, middle.y_m, 1e-4);
  EXPECT_NEAR(d.centre[0].z_m, middle.z_m, 1e-4);
  EXPECT_NEAR(d.peak_speed_m_s[0], peak_m_s, 1e-3 * peak_m_s);
  // Half width along y of the turned ellipse, through its middle.
  const double along_y = 1.0 / std::hypot(std::cos(0.4) / a_m, std::sin(0.4) / b_m);
  EXPECT_NEAR(d.half_width_y_m[0], along_y, 1e-3);
  EXPECT_TRUE(d.inside.empty());
}

TEST(PlaneDraws, HaveThoseOfTheProfilesOfHandbooks) {
  // Of equal half widths, per a b A and a b A^2: 3/2 power and constant viscosity.
  const double s_half = 0.4410337, unit = 2.0 * pi * a_m * b_m / (s_half * s_half);
  const PlaneDraws ends = integrated(one_core(1.5, -0.5));
  EXPECT_NEAR(ends.whole[0][0] / (unit * 9.0 / 70.0 * peak_m_s), 1.0, 1e-3);
  const double square = 1.0 / 2 - 4 / 3.5 + 6.0 / 5 - 4 / 6.5 + 1.0 / 8;
  EXPECT_NEAR(ends.whole[0][1] / (unit * square * peak_m_s * peak_m_s), 1.0, 1e-3);
  const double c = std::numbers::sqrt2 - 1.0;
  const PlaneDraws far = integrated(one_core(2.0, 0.5));
  // Cut at about 25 half widths: of the flow 1 / (1 + c 25^2) lies farther out.
  EXPECT_NEAR(far.whole[0][0] / (pi * a_m * b_m / c * peak_m_s), 1.0, 6e-3);
  EXPECT_NEAR(far.whole[0][1] / (pi * a_m * b_m / (3.0 * c) * peak_m_s * peak_m_s), 1.0, 1e-3);
}

TEST(PlaneDraws, EndAtTheFloor) {
  for (const double off : {-0.9, -0.31, 0.0, 0.17, 0.5}) {  // of the floor, half widths
    const PlaneDraws d = integrated(one_core(2.0, 1e-3, middle.z_m + off * b_m));
    const double above = 0.5 * std::erfc(std::sqrt(ln2) * off);
    EXPECT_NEAR(d.whole[0][0] / (above * pi * a_m * b_m / ln2 * peak_m_s), 1.0, 3e-3) << off;
  }
}

TEST(PlaneDraws, KnowWhatLiesInsideTheWindowAndAboveTheStart) {
  const Window window{middle.y_m - 0.2, middle.y_m + 0.3, middle.z_m - 0.1, middle.z_m + 0.1};
  Probe probe;
  probe.starting_speed_m_s = 1.0;
  const StreamPosterior stream = one_core(2.0, 1e-3);
  const PlaneDraws d = integrated(stream, window, probe);
  double inside = 0.0, seen = 0.0;
  constexpr int steps = 400;
  for (int i = 0; i < steps; ++i) {
    for (int k = 0; k < steps; ++k) {
      const double y = window.y_min_m + window.width_m() * (i + 0.5) / steps - middle.y_m;
      const double z = window.z_min_m + window.height_m() * (k + 0.5) / steps - middle.z_m;
      const double p = (std::cos(0.4) * y + std::sin(0.4) * z) / a_m;
      const double q = (std::cos(0.4) * z - std::sin(0.4) * y) / b_m;
      const double u = peak_m_s * std::exp2(-p * p - q * q);
      const double cell = window.width_m() * window.height_m() / (steps * steps);
      inside += cell * u;
      seen += u >= 1.0 ? cell * u : 0.0;
    }
  }
  EXPECT_NEAR(d.inside[0][0] / inside, 1.0, 2e-3);
  EXPECT_NEAR(d.seen[0][0] / seen, 1.0, 0.01);
}

TEST(PlaneDraws, KnowWhatTheHeadAveragesAway) {
  // A disc of diameter d over a Gaussian: M falls by d^2/16 int |grad u|^2 to second order, that integral
  // is pi A^2 (a^2 + b^2) / (2 a b).
  Probe probe;
  probe.head_diameter_m = 0.05;
  const PlaneDraws d = integrated(one_core(2.0, 1e-3), {}, probe);
  const double gradient = pi * peak_m_s * peak_m_s * (a_m * a_m + b_m * b_m) / (2.0 * a_m * b_m);
  EXPECT_EQ(d.head[0][0], 0.0);
  EXPECT_NEAR(d.head[0][1] / (0.05 * 0.05 / 16.0 * gradient), 1.0, 0.02);
}

}  // namespace
}  // namespace sweepflux
