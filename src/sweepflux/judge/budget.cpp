#include "sweepflux/judge/budget_private.hpp"
#include "sweepflux/judge/interval_private.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

constexpr double head_doubt = 0.3;  // of the second-order correction; common practice,
                                    // no published source

constexpr double least_left = 1e-3;  // of the value: a drift leaves some stream

/// A drift that is in every reading but not in the stream moves the integrals by what it adds to
/// them, and by more where the shape's tail gives way to it: the most, as a share. What shapes
/// sought anew depart by beyond that is not the drift's. An assumption, chosen on known fields.
constexpr double most_of_drift = 1.5;

struct Source {
  std::string name;
  Triple sd;  // by density 1
};

}  // namespace

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
  constexpr std::size_t of_field = 3;  // the first ones are in `flux.total`
  std::vector<Source> sources = {
      {"noise and shape between the sweeps", flux.within},
      {"choice of the stream's shape", flux.between},
      {"skirt beyond the readings", flux.skirt},
      {"probe scale", {c.scale * q, 2.0 * c.scale * m, 3.0 * c.scale * p}},
      {"probe offset", added(c.offset_m_s)},
      {"ambient drift", flux.drift_inside ? Triple{} : added(c.ambient_m_s)},
      {"distance of the probe", {stretch * q, stretch * m, stretch * p}},
      {"air density", {0.0, density * m, density * p}},
      {"size of the probe head", {0.0, head_doubt * head[1], head_doubt * head[2]}}};
  Triple common{};  // what the field itself does not know
  for (std::size_t i = of_field; i < sources.size(); ++i) {
    for (std::size_t k = 0; k < 3; ++k) {
      common[k] = std::hypot(common[k], sources[i].sd[k]);
    }
  }
  const double rho = density_kg_m3.value;
  const double scale[3] = {1.0, rho, rho};
  std::array<Estimate, 3> estimates;
  Source unread{"ambient drift, not read", {}};
  for (std::size_t k = 0; k < 3; ++k) {
    const double own = flux.total[k], total = std::hypot(own, common[k]);
    // Welch-Satterthwaite: only the field's own part has few degrees of freedom [JCGM 100, G.4.1].
    const double degrees = flux.degrees * (own > 0.0 ? std::pow(total / own, 4.0) : 1.0);
    Estimate& e = estimates[k];
    e = estimate_of(scale[k] * value[k], scale[k] * total, degrees);
    if (flux.if_drifting && e.value > 0.0) {
      const double drifting = flux.if_drifting->value[k] + head[k];
      // A drift takes no doubt away.
      const double total_drifting =
          std::clamp(flux.if_drifting->total[k],
                     flux.total[k],
                     std::hypot(flux.total[k], most_of_drift * added(drift_of_room_m_s)[k]));
      const Estimate at_rest = e;
      e = estimate_of_either(at_rest,
                             estimate_of(scale[k] * std::max(drifting, least_left * value[k]),
                                         scale[k] * std::hypot(total_drifting, common[k]),
                                         degrees),
                             drift_probability,
                             degrees);
      unread.sd[k] =
          std::sqrt(std::max(0.0,
                             e.standard_uncertainty * e.standard_uncertainty -
                                 at_rest.standard_uncertainty * at_rest.standard_uncertainty)) /
          scale[k];
    }
  }
  sources.push_back(unread);
  BudgetedFlux out;
  out.volume_flow_m3_s = estimates[0];
  out.momentum_flux_n = estimates[1];
  out.kinetic_power_w = estimates[2];
  for (const Source& s : sources) {
    if (s.sd[0] > 0.0 || s.sd[1] > 0.0) {
      out.rows.push_back({s.name, s.sd[0], rho * s.sd[1]});
    }
  }
  std::stable_sort(out.rows.begin(), out.rows.end(), [](const BudgetRow& a, const BudgetRow& b) {
    return a.momentum_flux_n > b.momentum_flux_n;
  });
  return out;
}

}  // namespace sweepflux
