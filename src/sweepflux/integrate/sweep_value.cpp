#include "sweepflux/base/parallel.hpp"
#include "sweepflux/integrate/sweep_value_private.hpp"

#include <Eigen/Cholesky>

#include <algorithm>

namespace sweepflux {

std::vector<SweepPosterior> foretell(const PlaneField& field,
                                     std::size_t plane,
                                     const Nodes& nodes,
                                     const PlaneFlux& flux,
                                     Target target,
                                     const std::vector<WantedSweep>& wanted,
                                     int threads) {
  std::vector<std::size_t> weighty;
  for (std::size_t k = 0; k < field.parts.size(); ++k) {
    if (field.parts[k].weight >= 0.05 && flux.parts[k].mean.size() > 0) {
      weighty.push_back(k);
    }
  }
  std::vector<Eigen::Index> begin = {0};
  for (const WantedSweep& s : wanted) {
    begin.push_back(begin.back() + s.y.size());
  }
  std::vector<SweepPosterior> out(weighty.size());
  parallel_for(weighty.size(), threads, [&](std::size_t i) {
    const WeightedPart& part = field.parts[weighty[i]];
    const PlaneFlux::Part& integrated = flux.parts[weighty[i]];
    const Array& w = nodes.w;
    const Vector c =
        target == Target::flow ? Vector(w) : Vector(2.0 * w * integrated.mean.max(0.0));
    Places places;
    places.y.resize(begin.back());
    places.z.resize(begin.back());
    for (std::size_t s = 0; s < wanted.size(); ++s) {
      const WantedSweep& sweep = wanted[s];
      places.y.segment(begin[s], sweep.y.size()) = sweep.y;
      places.z.segment(begin[s], sweep.y.size()) = sweep.z;
      const int known = part.all_planes ? static_cast<int>(sweep.plane)
                                        : (sweep.plane == plane ? part.plane : -1);
      places.plane.insert(places.plane.end(), static_cast<std::size_t>(sweep.y.size()), known);
    }
    out[i].weight = part.weight;
    out[i].variance = integrated.variance[target == Target::flow ? 0 : 1];
    out[i].cross = part.part->cross(part.plane, nodes.y, nodes.z, c, places);
    out[i].begin = begin;
  });
  return out;
}

std::vector<double> variance_taken(const std::vector<SweepPosterior>& candidates,
                                   double starting_speed_m_s,
                                   const std::function<double(double)>& noise) {
  if (candidates.empty()) {
    return {};
  }
  const std::size_t sweeps = candidates.front().begin.size() - 1;
  std::vector<double> share(sweeps, 0.0);
  double variance = 0.0;
  for (const SweepPosterior& p : candidates) {
    variance += p.weight * p.variance;
  }
  if (variance <= 0.0) {
    return share;
  }
  for (const SweepPosterior& p : candidates) {
    for (std::size_t s = 0; s < sweeps; ++s) {
      std::vector<Eigen::Index> heard;
      for (Eigen::Index i = p.begin[s]; i < p.begin[s + 1]; ++i) {
        if (p.cross.mean[i] > 0.8 * starting_speed_m_s && p.cross.among(i, i) > 0.0) {
          heard.push_back(i);
        }
      }
      const auto n = static_cast<Eigen::Index>(heard.size());
      if (n == 0) {
        continue;
      }
      Vector c(n);
      Matrix k(n, n);
      for (Eigen::Index i = 0; i < n; ++i) {
        const Eigen::Index a = heard[static_cast<std::size_t>(i)];
        c[i] = p.cross.with_functional[a];
        for (Eigen::Index j = 0; j < n; ++j) {
          k(i, j) = p.cross.among(a, heard[static_cast<std::size_t>(j)]);
        }
        const double sd = noise(std::max(p.cross.mean[a], 0.0));
        k(i, i) += sd * sd;
      }
      share[s] += p.weight * c.dot(k.ldlt().solve(c)) / variance;
    }
  }
  for (double& s : share) {
    s = std::clamp(s, 0.0, 1.0);
  }
  return share;
}

}  // namespace sweepflux
