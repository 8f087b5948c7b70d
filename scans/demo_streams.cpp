#include "scans/demo_streams.hpp"

#include <cmath>
#include <numbers>

namespace sweepflux::demo {
namespace {

using std::numbers::ln2;
using std::numbers::pi;

/// Of thrust over density, what the mean flow carries at x: 2 to 12 % less is what published free
/// jets show [Panchapakesan 1993, Hussein 1994].
double mean_flow_share(double x_m) { return 0.97 - 0.01 * x_m; }

/// Simpson's rule with 2n intervals.
double integrate(const std::function<double(double)>& f, double from, double to, int n) {
  const double h = (to - from) / (2.0 * n);
  double sum = f(from) + f(to);
  for (int i = 1; i < 2 * n; ++i) {
    sum += (i % 2 == 1 ? 4.0 : 2.0) * f(from + i * h);
  }
  return sum * h / 3.0;
}

/// Speed at radius r over its scale, at one distance.
struct RoundShape {
  double half_radius_m;
  double power;
  double dip;

  RoundShape(const RoundFan& fan, double x_m)
      : half_radius_m(0.75 * fan.outlet_radius_m + fan.spread * x_m),
        power(2.0 + 1.6 * std::exp(-x_m / (4.0 * fan.outlet_radius_m))),
        dip(fan.hub_dip * std::exp(-x_m / fan.dip_fills_over_m)) {}

  [[nodiscard]] double operator()(double r_m) const {
    const double q = r_m / half_radius_m;
    return std::exp(-ln2 * std::pow(q, power)) * (1.0 - dip * std::exp(-q * q / (0.4 * 0.4)));
  }
};

/// Speed scale that gives the mean flow its momentum.
double speed_scale(const RoundFan& fan, const RoundShape& shape, double x_m) {
  const double squared = integrate(
      [&](double r) { return shape(r) * shape(r) * r; }, 0.0, 4.0 * shape.half_radius_m, 60);
  return std::sqrt(fan.thrust_over_density_m4_s2 * mean_flow_share(x_m) / (2.0 * pi * squared));
}

/// Flow within radius r, over 2 pi.
double flow_within(const RoundFan& fan, double x_m, double r_m) {
  const RoundShape shape(fan, x_m);
  const double beyond = 4.0 * shape.half_radius_m;
  return speed_scale(fan, shape, x_m) *
         integrate([&](double r) { return shape(r) * r; }, 0.0, std::min(r_m, beyond), 40);
}

double tower_half_width_m(const TowerFan& fan, double x_m) { return 0.03 + fan.spread * x_m; }

double tower_edge_m(double x_m) { return 0.05 + 0.08 * x_m; }

/// Speed along the height over its scale: full between the ends, which wear off.
double tower_height_shape(const TowerFan& fan, double x_m, double z_m) {
  const double s = tower_edge_m(x_m);
  return 0.5 * (std::erf((z_m + fan.half_height_m) / s) - std::erf((z_m - fan.half_height_m) / s));
}

/// Speed across times its scale: carries all of the momentum per unit of height.
double tower_across_scale(const TowerFan& fan, double x_m) {
  const double squared = tower_half_width_m(fan, x_m) * std::sqrt(pi / (2.0 * ln2));
  return std::sqrt(fan.thrust_over_density_m4_s2 * mean_flow_share(x_m) / squared);
}

double tower_up_scale(const TowerFan& fan, double x_m) {
  const double end_m = fan.half_height_m + 4.0 * tower_edge_m(x_m);
  const double squared = integrate(
      [&](double z) {
        const double h = tower_height_shape(fan, x_m, z);
        return h * h;
      },
      -end_m,
      end_m,
      60);
  return 1.0 / std::sqrt(squared);
}

}  // namespace

Stream round_stream(const RoundFan& fan) {
  return [fan](double x_m, double y_m, double z_m) {
    const double dy_m = y_m - fan.drift_right * x_m;
    const double dz_m = z_m - fan.drift_up * x_m;
    const double r_m = std::hypot(dy_m, dz_m);
    const RoundShape shape(fan, x_m);
    const double u = speed_scale(fan, shape, x_m) * shape(r_m);
    Velocity velocity{u, u * fan.drift_right, u * fan.drift_up};
    if (r_m > 1e-6) {
      // What the flow within r gains along x comes in through its side.
      const double h_m = 1e-4;
      const double inward =
          (flow_within(fan, x_m + h_m, r_m) - flow_within(fan, x_m - h_m, r_m)) / (2 * h_m * r_m);
      velocity.v_m_s -= inward * dy_m / r_m;
      velocity.w_m_s -= inward * dz_m / r_m;
    }
    return velocity;
  };
}

Stream tower_stream(const TowerFan& fan) {
  // u = across(x, y) up(x, z); each factor's growth along x is fed from its own side.
  const auto across = [fan](double x, double y) {
    const double b = tower_half_width_m(fan, x);
    return tower_across_scale(fan, x) * std::exp(-ln2 * (y / b) * (y / b));
  };
  const auto across_within = [fan](double x, double y) {
    const double b = tower_half_width_m(fan, x);
    return tower_across_scale(fan, x) * b * std::sqrt(pi / ln2) / 2 *
           std::erf(std::sqrt(ln2) * y / b);
  };
  const auto up = [fan](double x, double z) {
    return tower_up_scale(fan, x) * tower_height_shape(fan, x, z);
  };
  const auto up_within = [fan](double x, double z) {
    return tower_up_scale(fan, x) *
           integrate([&](double t) { return tower_height_shape(fan, x, t); }, 0.0, z, 30);
  };
  return [=](double x_m, double y_m, double z_m) {
    const double h_m = 1e-4;
    const double a = across(x_m, y_m);
    const double b = up(x_m, z_m);
    const auto growth = [&](const auto& within, double at_m) {
      return (within(x_m + h_m, at_m) - within(x_m - h_m, at_m)) / (2 * h_m);
    };
    return Velocity{a * b, -b * growth(across_within, y_m), -a * growth(up_within, z_m)};
  };
}

}  // namespace sweepflux::demo
