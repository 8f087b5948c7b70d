#include "sweepflux/base/quantiles.hpp"
#include "sweepflux/judge/budget_private.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

constexpr double head_doubt = 0.3;  // of the second-order correction; common practice,
                                    // no published source

struct Source {
  std::string name;
  Triple sd;  // by density 1
};

}  // namespace

Estimate estimate_of(double value, double standard_uncertainty, double degrees) {
  const double z_95 = student_95(std::max(degrees, 1.0));
  Estimate e;
  e.value = value;
  e.standard_uncertainty = standard_uncertainty;
  if (value > 0.0) {
    // A log-normal with this value as median: the same as value +- 1.96 u while u is small.
    const double share = standard_uncertainty / value;
    const double spread = std::sqrt(std::log1p(share * share));
    e.low_95 = value * std::exp(-z_95 * spread);
    e.high_95 = value * std::exp(z_95 * spread);
  } else {
    e.low_95 = value - z_95 * standard_uncertainty;
    e.high_95 = value + z_95 * standard_uncertainty;
  }
  return e;
}

Triple head_correction(const Nodes& nodes, const Array& mean, double diameter_m) {
  double grad2 = 0.0, u_grad2 = 0.0;
  const Eigen::Index nz = nodes.nz();
  for (Eigen::Index i = 0; i + 1 < nodes.ny(); ++i) {
    const double hy = nodes.ya[i + 1] - nodes.ya[i];
    for (Eigen::Index k = 0; k + 1 < nz; ++k) {
      const double hz = nodes.za[k + 1] - nodes.za[k];
      const double a = mean[i * nz + k], b = mean[(i + 1) * nz + k], c = mean[i * nz + k + 1],
                   d = mean[(i + 1) * nz + k + 1];
      // Mean squares of the two differences along each side of the cell.
      const double gy = 0.5 * ((b - a) * (b - a) + (d - c) * (d - c)) / (hy * hy);
      const double gz = 0.5 * ((c - a) * (c - a) + (d - b) * (d - b)) / (hz * hz);
      grad2 += hy * hz * (gy + gz);
      u_grad2 += hy * hz * 0.25 * (a + b + c + d) * (gy + gz);
    }
  }
  const double d2 = diameter_m * diameter_m;
  return {0.0, d2 / 16.0 * grad2, 3.0 * d2 / 32.0 * u_grad2};
}

BudgetedFlux make_budget(const PlaneFlux& flux,
                         const Triple& head,
                         const PlaneSamples& samples,
                         bool swivel,
                         const Measured& density_kg_m3) {
  const CommonErrors& c = samples.common;
  Triple value = flux.value;
  for (std::size_t k = 0; k < 3; ++k) {
    value[k] += head[k];
  }
  const double q = value[0], m = value[1], p = value[2];
  const double stretch = swivel ? c.distance_m / samples.distance_m : 0.0;
  const double density = density_kg_m3.standard_uncertainty / density_kg_m3.value;
  const auto added = [&](double e) {
    return Triple{e * flux.stream_area_m2, 2.0 * e * q, 1.5 * e * m};
  };
  const double beyond_fit = samples.ambient_known ? 0.0 : stirred_air_m_s;
  const double drift = flux.drift_inside ? beyond_fit : c.ambient_m_s;
  std::vector<Source> sources = {
      {"noise and shape between the sweeps", flux.within},
      {"choice of the stream's shape", flux.between},
      {"skirt beyond the readings", flux.skirt},
      {"probe scale", {c.scale * q, 2.0 * c.scale * m, 3.0 * c.scale * p}},
      {"probe offset", added(c.offset_m_s)},
      {"ambient drift", added(drift)},
      {"distance of the probe", {stretch * q, stretch * m, stretch * p}},
      {"air density", {0.0, density * m, density * p}},
      {"size of the probe head", {0.0, head_doubt * head[1], head_doubt * head[2]}}};
  Triple total{};
  Triple degrees{};
  BudgetedFlux out;
  const double rho = density_kg_m3.value;
  for (const Source& s : sources) {
    for (std::size_t k = 0; k < 3; ++k) {
      total[k] += s.sd[k] * s.sd[k];
    }
    if (s.sd[0] > 0.0 || s.sd[1] > 0.0) {
      out.rows.push_back({s.name, s.sd[0], rho * s.sd[1]});
    }
  }
  for (std::size_t k = 0; k < 3; ++k) {
    // Welch-Satterthwaite: only the field's own part has few degrees of freedom [JCGM 100, G.4.1].
    const double own = flux.total[k] * flux.total[k];
    degrees[k] = flux.degrees * (own > 0.0 ? total[k] * total[k] / (own * own) : 1.0);
  }
  std::stable_sort(out.rows.begin(), out.rows.end(), [](const BudgetRow& a, const BudgetRow& b) {
    return a.momentum_flux_n > b.momentum_flux_n;
  });
  out.volume_flow_m3_s = estimate_of(q, std::sqrt(total[0]), degrees[0]);
  out.momentum_flux_n = estimate_of(rho * m, rho * std::sqrt(total[1]), degrees[1]);
  out.kinetic_power_w = estimate_of(rho * p, rho * std::sqrt(total[2]), degrees[2]);
  return out;
}

}  // namespace sweepflux
