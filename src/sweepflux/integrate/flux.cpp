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

PlaneFlux gather(const PlaneField& field, const Nodes& nodes, std::vector<PartFlux> parts) {
  PlaneFlux out;
  out.mean = Array::Zero(nodes.y.size());
  out.parts.resize(field.parts.size());
  Array second = Array::Zero(nodes.y.size());
  Triple square{};
  double weight = 0.0;
  for (std::size_t i = 0; i < field.parts.size(); ++i) {
    const WeightedPart& part = field.parts[i];
    PartFlux& f = parts[i];
    if (f.at.mean.size() == 0) {
      continue;
    }
    const double widen = part.sd_factor * part.sd_factor;
    weight += part.weight;
    const Array mean = f.at.mean.max(0.0);
    out.mean += part.weight * mean;
    second += part.weight * (mean.square() + widen * f.at.variance);
    for (std::size_t k = 0; k < 3; ++k) {
      out.value[k] += part.weight * f.value[k];
      square[k] += part.weight * f.value[k] * f.value[k];
      out.within[k] += part.weight * widen * f.variance[k];
      out.skirt[k] += part.weight * f.skirt[k] * f.skirt[k];
      out.beyond[k] += part.weight * f.beyond[k];
    }
    out.parts[i] = {std::move(f.at.mean), f.value, f.variance};
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
  // Rows tell whether a shape holds; fewer than five do little more than choose it.
  const auto rows = static_cast<double>(field.rows_m.size());
  out.degrees = rows < 5.0 ? 3.0 : 2.0 * (rows - 1.0);
  out.window_area_m2 = nodes.w_window.sum();
  out.stream_area_m2 = (out.mean > 0.05 * out.mean.maxCoeff()).select(nodes.w, 0.0).sum();
  return out;
}

}  // namespace

std::vector<PlaneFlux> integrate_planes(const std::vector<PlaneToIntegrate>& planes, int threads) {
  struct Job {
    std::size_t plane = 0, part = 0;
    bool all_planes = false;
  };
  std::vector<Job> jobs;
  std::vector<std::vector<PartFlux>> parts(planes.size());
  for (std::size_t j = 0; j < planes.size(); ++j) {
    const std::vector<WeightedPart>& of_plane = planes[j].field->parts;
    parts[j].resize(of_plane.size());
    for (std::size_t i = 0; i < of_plane.size(); ++i) {
      if (of_plane[i].weight >= lightest) {
        jobs.push_back({j, i, of_plane[i].all_planes});
      }
    }
  }
  // Those that know all planes' readings take longest: first, so that no thread ends on one.
  std::stable_partition(jobs.begin(), jobs.end(), [](const Job& job) { return job.all_planes; });
  parallel_for(jobs.size(), threads, [&](std::size_t k) {
    const PlaneToIntegrate& p = planes[jobs[k].plane];
    parts[jobs[k].plane][jobs[k].part] =
        integrate_part(p.field->parts[jobs[k].part], *p.nodes, p.starting_speed_m_s);
  });
  std::vector<PlaneFlux> out;
  for (std::size_t j = 0; j < planes.size(); ++j) {
    out.push_back(gather(*planes[j].field, *planes[j].nodes, std::move(parts[j])));
  }
  return out;
}

}  // namespace sweepflux
