#include "sweepflux/integrate/flux_private.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

constexpr double lightest = 1e-4;  // parts that weigh less are not worked out
// Of what lies beyond the readings; found in a study on known fields, no published source.
constexpr Triple skirt_doubt = {0.12, 0.15, 0.2};

struct PartFlux {
  Triple value{}, sd{}, skirt{}, beyond{};
  Array mean;
  NodePosterior posterior;
};

Triple powers(const Array& w, const Array& u) {
  return {(w * u).sum(), (w * u.square()).sum(), 0.5 * (w * u.cube()).sum()};
}

/// What the wide steps beyond the window, and their end, leave out of the shape's integrals.
Triple tail_of(const FieldPart& part, int plane, const Nodes& nodes) {
  Triple fine = powers(nodes.beyond_w, part.shape(plane, nodes.beyond_y, nodes.beyond_z).max(0.0));
  const Triple coarse =
      powers(nodes.w - nodes.w_window, part.shape(plane, nodes.y, nodes.z).max(0.0));
  for (std::size_t k = 0; k < 3; ++k) {
    fine[k] -= coarse[k];
  }
  return fine;
}

PartFlux integrate_part(const WeightedPart& part, const Nodes& nodes, double starting_speed) {
  const Array& w = nodes.w;
  PartFlux out;
  out.posterior = part.part->posterior(part.plane, nodes.y, nodes.z);
  const NodePosterior& p = out.posterior;
  out.mean = p.mean.max(0.0);
  const Array v = (p.mean > 0.0).select(p.variance, 0.0);
  const Array u2 = out.mean.square() + v;
  const Array u3 = out.mean.cube() + 3.0 * out.mean * v;
  out.value = {(w * out.mean).sum(), (w * u2).sum(), 0.5 * (w * u3).sum()};
  Matrix weights(nodes.y.size(), 3);
  weights.col(0) = w;
  weights.col(1) = 2.0 * w * out.mean;
  weights.col(2) = 1.5 * w * out.mean.square();
  const Matrix cov = part.part->covariance(part.plane, nodes.y, nodes.z, weights);
  for (std::size_t k = 0; k < 3; ++k) {
    const auto i = static_cast<Eigen::Index>(k);
    out.sd[k] = part.sd_factor * std::sqrt(std::max(0.0, cov(i, i)));
  }
  for (Eigen::Index i = 0; i < w.size(); ++i) {
    const bool beyond =
        nodes.inside[static_cast<std::size_t>(i)] == 0 || out.mean[i] < starting_speed;
    if (beyond) {
      out.beyond[0] += w[i] * out.mean[i];
      out.beyond[1] += w[i] * out.mean[i] * out.mean[i];
      out.beyond[2] += 0.5 * w[i] * out.mean[i] * out.mean[i] * out.mean[i];
    }
  }
  const Triple tail = tail_of(*part.part, part.plane, nodes);
  for (std::size_t k = 0; k < 3; ++k) {
    out.value[k] += tail[k];
    out.beyond[k] = std::max(0.0, out.beyond[k] + tail[k]);
    out.skirt[k] = skirt_doubt[k] * out.beyond[k];
  }
  return out;
}

}  // namespace

PlaneFlux integrate_plane(const PlaneField& field, const Nodes& nodes, double starting_speed_m_s) {
  PlaneFlux out;
  out.mean = Array::Zero(nodes.y.size());
  out.parts.resize(field.parts.size());
  Array second = Array::Zero(nodes.y.size());
  Triple square{};
  double weight = 0.0;
  for (std::size_t i = 0; i < field.parts.size(); ++i) {
    const WeightedPart& part = field.parts[i];
    if (part.weight < lightest) {
      continue;
    }
    weight += part.weight;
    PartFlux f = integrate_part(part, nodes, starting_speed_m_s);
    out.mean += part.weight * f.mean;
    second +=
        part.weight * (f.mean.square() + part.sd_factor * part.sd_factor * f.posterior.variance);
    out.parts[i] = std::move(f.posterior);
    for (std::size_t k = 0; k < 3; ++k) {
      out.value[k] += part.weight * f.value[k];
      square[k] += part.weight * f.value[k] * f.value[k];
      out.within[k] += part.weight * f.sd[k] * f.sd[k];
      out.skirt[k] += part.weight * f.skirt[k] * f.skirt[k];
      out.beyond[k] += part.weight * f.beyond[k];
    }
  }
  out.mean /= weight;
  out.sd = (second / weight - out.mean.square()).max(0.0).sqrt();
  for (std::size_t k = 0; k < 3; ++k) {
    out.value[k] /= weight;
    out.between[k] = std::sqrt(std::max(0.0, square[k] / weight - out.value[k] * out.value[k]));
    out.within[k] = std::sqrt(out.within[k] / weight);
    out.skirt[k] = std::sqrt(out.skirt[k] / weight);
    out.beyond[k] /= weight * std::max(out.value[k], 1e-300);
    out.total[k] = std::sqrt(out.within[k] * out.within[k] + out.between[k] * out.between[k] +
                             out.skirt[k] * out.skirt[k]);
  }
  out.drift_inside = true;
  // Rows tell whether a shape holds, and few rows tell little of it.
  out.degrees = 2.0 * std::max(1.0, static_cast<double>(field.rows_m.size()) - 1.0);
  out.window_area_m2 = nodes.w_window.sum();
  out.stream_area_m2 = (out.mean > 0.05 * out.mean.maxCoeff()).select(nodes.w, 0.0).sum();
  return out;
}

}  // namespace sweepflux
