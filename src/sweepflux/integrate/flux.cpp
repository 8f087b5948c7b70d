#include "sweepflux/base/parallel.hpp"
#include "sweepflux/integrate/flux_private.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

constexpr double lightest = 1e-4;  // parts that weigh less are not worked out
// Of what lies beyond the readings; found in a study on known fields, no published source.
constexpr Triple skirt_doubt = {0.12, 0.15, 0.2};

struct PartFlux {
  Triple value{}, variance{}, skirt{}, beyond{};
  NodePosterior at;
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
  const auto weights = [&](Eigen::Index first, const Array& mean) {
    const Array here = w.segment(first, mean.size());
    const Array speed = mean.max(0.0);
    Matrix out(mean.size(), 3);
    out.col(0) = here;
    out.col(1) = 2.0 * here * speed;
    out.col(2) = 1.5 * here * speed.square();
    return out;
  };
  NodeFunctionals f = part.part->functionals(part.plane, nodes.y, nodes.z, weights);
  PartFlux out;
  const Array v = (f.at.mean > 0.0).select(f.at.variance, 0.0);
  const Array mean = f.at.mean.max(0.0);
  out.at = std::move(f.at);
  const Array u2 = mean.square() + v;
  const Array u3 = mean.cube() + 3.0 * mean * v;
  out.value = {(w * mean).sum(), (w * u2).sum(), 0.5 * (w * u3).sum()};
  for (std::size_t k = 0; k < 3; ++k) {
    const auto i = static_cast<Eigen::Index>(k);
    out.variance[k] = std::max(0.0, f.covariance(i, i));
  }
  for (Eigen::Index i = 0; i < w.size(); ++i) {
    const bool beyond = nodes.inside[static_cast<std::size_t>(i)] == 0 || mean[i] < starting_speed;
    if (beyond) {
      out.beyond[0] += w[i] * mean[i];
      out.beyond[1] += w[i] * mean[i] * mean[i];
      out.beyond[2] += 0.5 * w[i] * mean[i] * mean[i] * mean[i];
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

/// Mean of a mixture's integrals and what each source of doubt adds.
struct Mixed {
  Triple value{}, within{}, between{}, skirt{}, total{}, beyond{};
  double weight = 0.0;
};

/// Parts without an answer have no share.
Mixed mix(const std::vector<WeightedPart>& parts, const std::vector<PartFlux>& fluxes) {
  Mixed out;
  Triple square{};
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const WeightedPart& part = parts[i];
    const PartFlux& f = fluxes[i];
    if (f.at.mean.size() == 0) {
      continue;
    }
    const double widen = part.sd_factor * part.sd_factor;
    out.weight += part.weight;
    for (std::size_t k = 0; k < 3; ++k) {
      out.value[k] += part.weight * f.value[k];
      square[k] += part.weight * f.value[k] * f.value[k];
      out.within[k] += part.weight * widen * f.variance[k];
      const double skirt = part.skirt_factor * f.skirt[k];
      out.skirt[k] += part.weight * skirt * skirt;
      out.beyond[k] += part.weight * f.beyond[k];
    }
  }
  const double weight = out.weight;
  for (std::size_t k = 0; k < 3; ++k) {
    out.value[k] /= weight;
    out.between[k] = std::sqrt(std::max(0.0, square[k] / weight - out.value[k] * out.value[k]));
    out.within[k] = std::sqrt(out.within[k] / weight);
    out.skirt[k] = std::sqrt(out.skirt[k] / weight);
    out.beyond[k] /= weight * std::max(out.value[k], 1e-300);
    out.total[k] = std::sqrt(out.within[k] * out.within[k] + out.between[k] * out.between[k] +
                             out.skirt[k] * out.skirt[k]);
  }
  return out;
}

PlaneFlux gather(const PlaneField& field,
                 const Nodes& nodes,
                 std::vector<PartFlux> parts,
                 const std::vector<PartFlux>& parts_if_drifting) {
  PlaneFlux out;
  const Mixed mixed = mix(field.parts, parts);
  out.value = mixed.value;
  out.within = mixed.within;
  out.between = mixed.between;
  out.skirt = mixed.skirt;
  out.total = mixed.total;
  out.beyond = mixed.beyond;
  if (!parts_if_drifting.empty()) {
    const Mixed drifting = mix(field.parts_if_drifting, parts_if_drifting);
    out.if_drifting = {drifting.value, drifting.total};
  }
  out.mean = Array::Zero(nodes.y.size());
  out.parts.resize(field.parts.size());
  Array second = Array::Zero(nodes.y.size());
  for (std::size_t i = 0; i < field.parts.size(); ++i) {
    const WeightedPart& part = field.parts[i];
    PartFlux& f = parts[i];
    if (f.at.mean.size() == 0) {
      continue;
    }
    const Array mean = f.at.mean.max(0.0);
    out.mean += part.weight * mean;
    second += part.weight * (mean.square() + part.sd_factor * part.sd_factor * f.at.variance);
    out.parts[i] = {std::move(f.at.mean), f.value, f.variance};
  }
  out.mean /= mixed.weight;
  out.sd = (second / mixed.weight - out.mean.square()).max(0.0).sqrt();
  out.drift_inside = true;
  // Rows tell whether a shape holds; fewer than five do little more than choose it.
  const auto rows = static_cast<double>(field.rows_m.size());
  out.degrees = rows < 5.0 ? 3.0 : 4.0 * (rows - 1.0);
  out.window_area_m2 = nodes.w_window.sum();
  out.stream_area_m2 = (out.mean > 0.05 * out.mean.maxCoeff()).select(nodes.w, 0.0).sum();
  return out;
}

}  // namespace

std::vector<PlaneFlux> integrate_planes(const std::vector<PlaneToIntegrate>& planes, int threads) {
  struct Job {
    std::size_t plane;
    const WeightedPart* part;
    PartFlux* flux;
  };
  std::vector<Job> jobs;
  std::vector<std::vector<PartFlux>> parts(planes.size()), if_drifting(planes.size());
  const auto add = [&](std::size_t plane,
                       const std::vector<WeightedPart>& of_plane,
                       std::vector<PartFlux>& fluxes) {
    fluxes.resize(of_plane.size());
    for (std::size_t i = 0; i < of_plane.size(); ++i) {
      if (of_plane[i].weight >= lightest) {
        jobs.push_back({plane, &of_plane[i], &fluxes[i]});
      }
    }
  };
  for (std::size_t j = 0; j < planes.size(); ++j) {
    add(j, planes[j].field->parts, parts[j]);
    add(j, planes[j].field->parts_if_drifting, if_drifting[j]);
  }
  // Those that know all planes' readings take longest: first, so that no thread ends on one.
  std::stable_partition(
      jobs.begin(), jobs.end(), [](const Job& job) { return job.part->all_planes; });
  parallel_for(jobs.size(), threads, [&](std::size_t k) {
    const PlaneToIntegrate& p = planes[jobs[k].plane];
    *jobs[k].flux = integrate_part(*jobs[k].part, *p.nodes, p.starting_speed_m_s);
  });
  std::vector<PlaneFlux> out;
  for (std::size_t j = 0; j < planes.size(); ++j) {
    out.push_back(gather(*planes[j].field, *planes[j].nodes, std::move(parts[j]), if_drifting[j]));
  }
  return out;
}

}  // namespace sweepflux
