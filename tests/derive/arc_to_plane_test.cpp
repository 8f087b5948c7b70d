#include "sweepflux/base/error.hpp"
#include "sweepflux/derive/sample/probe.hpp"
#include "sweepflux/derive/sample/samples.hpp"
#include "tests/support/dice.hpp"
#include "tests/support/hand_made.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <string>

namespace sweepflux {
namespace {

using test::bare_survey;
using test::degree;
using test::even_sweep;

// ---- Arcs onto planes -------------------------------------------------------------------------

/// A round jet that is the same at every distance, with the air it draws in: u = F(e) / x,
/// v = (y / x) (F - G / e^2) / x, e = r / x, G = integral of F e de. Continuity gives v exactly.
struct RoundJet {
  std::function<double(double)> shape;      ///< F over e^2
  std::function<double(double)> entrained;  ///< G / e^2 over e^2
};

RoundJet gaussian(double spread) {
  const double k = std::numbers::ln2 / (spread * spread);
  return {[k](double e2) { return std::exp(-k * e2); },
          [k](double e2) { return e2 < 1e-9 ? 0.5 : (1.0 - std::exp(-k * e2)) / (2.0 * k * e2); }};
}

RoundJet schlichting(double spread) {
  const double a = (std::numbers::sqrt2 - 1.0) / (spread * spread);
  return {[a](double e2) { return std::pow(1.0 + a * e2, -2.0); },
          [a](double e2) { return 0.5 / (1.0 + a * e2); }};
}

/// What an ideal probe that points at the turntable's axis reads in the jet.
double felt(
    const RoundJet& jet, const ProbePlace& at, double ahead_m, double z0_m, bool magnitude) {
  const double x = at.x_m - ahead_m;
  const double y = at.y_m;
  const double z = at.z_m - z0_m;
  const double e2 = (y * y + z * z) / (x * x);
  const double u = jet.shape(e2) / x;
  const double radial = (jet.shape(e2) - jet.entrained(e2)) / (x * x);
  const double v = y * radial;
  const double w = z * radial;
  if (magnitude) {
    return std::sqrt(u * u + v * v + w * w);
  }
  // The arm points from the axis to the probe: (cos phi, -sin phi) in the fan's frame.
  return u * std::cos(at.yaw_rad) - v * std::sin(at.yaw_rad);
}

struct Integrals {
  double flow = 0.0;
  double momentum = 0.0;
};

/// Sums over the mapped, slightly crooked grid of samples where speed is above a tenth of the peak.
Integrals integrate_samples(const PlaneSamples& plane) {
  const std::size_t rows = plane.sweeps.size();
  const std::size_t columns = plane.samples.size() / rows;
  const auto at = [&](std::size_t row, std::size_t column) -> const Sample& {
    return plane.samples[row * columns + column];
  };
  double peak = 0.0;
  for (const Sample& s : plane.samples) {
    peak = std::max(peak, s.speed_m_s);
  }
  Integrals sum;
  for (std::size_t r = 1; r + 1 < rows; ++r) {
    for (std::size_t c = 1; c + 1 < columns; ++c) {
      const double u = at(r, c).speed_m_s;
      if (u < 0.1 * peak) {
        continue;
      }
      const double area = 0.25 * (at(r, c + 1).at.y_m - at(r, c - 1).at.y_m) *
                          (at(r + 1, c).at.z_m - at(r - 1, c).at.z_m);
      sum.flow += area * u;
      sum.momentum += area * u * u;
    }
  }
  return sum;
}

struct Arc {
  double spread = 0.1;
  double distance_m = 1.8;
  double ahead_m = 0.0;
  Response response = Response::cosine;
};

/// Errors of flow and momentum, in percent of the exact part above a tenth of the peak.
Integrals errors_of_arc(const RoundJet& jet, const Arc& arc) {
  Survey survey = bare_survey();
  survey.outlet.ahead_of_axis_m = arc.ahead_m;
  survey.probe.response = arc.response;
  const double half_m = 3.2 * arc.spread * arc.distance_m;
  const double turn = std::asin(std::min(0.9, half_m / arc.distance_m));
  for (int row = -60; row <= 60; ++row) {
    const double z = 0.9 + half_m * row / 60.0;
    survey.sweeps.push_back(even_sweep(arc.distance_m, z, -turn, turn, 121, [&](double angle) {
      const ProbePlace at = place_probe(survey.rig, survey.outlet, arc.distance_m, z, angle);
      return felt(jet, at, arc.ahead_m, 0.9, arc.response == Response::flat);
    }));
  }
  const Integrals got = integrate_samples(derive_samples(survey).front());
  // Exact, in rings of the plane: 2 pi integral of F e de with F above a tenth.
  Integrals exact;
  constexpr int rings = 200000;
  const double widest = 12.0 * arc.spread;
  for (int i = 0; i < rings; ++i) {
    const double e = widest * (i + 0.5) / rings;
    const double f = jet.shape(e * e);
    if (f >= 0.1) {
      const double x = arc.distance_m - arc.ahead_m;
      exact.flow += 2.0 * std::numbers::pi * e * f * x * widest / rings;
      exact.momentum += 2.0 * std::numbers::pi * e * f * f * widest / rings;
    }
  }
  return {100.0 * (got.flow / exact.flow - 1.0), 100.0 * (got.momentum / exact.momentum - 1.0)};
}

TEST(ArcToPlane, keeps_flow_and_momentum_of_self_similar_jets) {
  // Errors in percent found by another program with the same rule (rays from the outlet, over
  // the cosine of the turn): -0.2/+0.1, -0.4/0.0, -0.7/+0.3.
  const Integrals round = errors_of_arc(gaussian(0.1), {});
  EXPECT_NEAR(round.flow, -0.2, 0.15);
  EXPECT_NEAR(round.momentum, 0.1, 0.1);
  const Integrals fat = errors_of_arc(schlichting(0.1), {});
  EXPECT_NEAR(fat.flow, -0.4, 0.15);
  EXPECT_NEAR(fat.momentum, 0.0, 0.1);
  const Integrals wide = errors_of_arc(gaussian(0.2), {0.2, 1.2});
  EXPECT_NEAR(wide.flow, -0.7, 0.2);
  EXPECT_NEAR(wide.momentum, 0.3, 0.15);
}

TEST(ArcToPlane, keeps_them_with_the_outlet_ahead_of_the_axis) {
  for (const double ahead : {-0.3, 0.3}) {
    const Integrals wide = errors_of_arc(gaussian(0.2), {0.2, 1.2, ahead});
    EXPECT_NEAR(wide.flow, -0.7, 0.5) << ahead;
    EXPECT_NEAR(wide.momentum, 0.3, 0.4) << ahead;
  }
}

TEST(ArcToPlane, needs_no_cosine_for_a_probe_that_has_none) {
  // As above, for an omnidirectional probe: +0.2/+0.1, +0.3/+0.1, +1.1/+0.5.
  const Integrals round = errors_of_arc(gaussian(0.1), {0.1, 1.8, 0.0, Response::flat});
  EXPECT_NEAR(round.flow, 0.2, 0.15);
  EXPECT_NEAR(round.momentum, 0.1, 0.1);
  const Integrals wide = errors_of_arc(gaussian(0.2), {0.2, 1.2, 0.0, Response::flat});
  EXPECT_NEAR(wide.flow, 1.1, 0.25);
  EXPECT_NEAR(wide.momentum, 0.5, 0.15);
}

}  // namespace
}  // namespace sweepflux
