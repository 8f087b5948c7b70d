#include "sweepflux/base/parallel.hpp"
#include "sweepflux/integrate/sweep_value_private.hpp"

#include <Eigen/Cholesky>

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

constexpr double lightest = 0.05;  // candidates that weigh less are left out

/// One candidate's say.
struct Voice {
  double weight = 0.0;
  std::array<double, 2> value{}, variance{};
  CrossPosterior cross;
};

Places places_of(const std::vector<WantedSweep>& wanted,
                 const std::vector<Eigen::Index>& begin,
                 const WeightedPart& part,
                 std::size_t plane) {
  Places places;
  places.y.resize(begin.back());
  places.z.resize(begin.back());
  for (std::size_t s = 0; s < wanted.size(); ++s) {
    const WantedSweep& sweep = wanted[s];
    places.y.segment(begin[s], sweep.y.size()) = sweep.y;
    places.z.segment(begin[s], sweep.y.size()) = sweep.z;
    int known = sweep.plane == plane ? part.plane : -1;
    if (part.all_planes && sweep.plane != WantedSweep::elsewhere) {
      known = static_cast<int>(sweep.plane);
    }
    places.plane.insert(places.plane.end(), static_cast<std::size_t>(sweep.y.size()), known);
  }
  return places;
}

Voice ask(const WeightedPart& part,
          const PlaneFlux::Part& integrated,
          const Nodes& nodes,
          const Places& places) {
  const Array speed = integrated.mean.max(0.0);
  Functionals of;
  of.linear.resize(nodes.w.size(), 2);
  of.linear.col(0) = nodes.w;
  of.linear.col(1) = 2.0 * nodes.w * speed;
  of.square = Matrix::Zero(nodes.w.size(), 2);
  of.square.col(1) = nodes.w;
  Voice out;
  out.weight = part.weight;
  out.cross = part.part->cross(part.plane, nodes.y, nodes.z, of, places);
  const double widen = part.sd_factor * part.sd_factor;
  out.cross.with_functionals *= widen;
  out.cross.among *= widen;
  for (std::size_t k = 0; k < 2; ++k) {
    out.value[k] = integrated.value[k];
    out.variance[k] =
        widen *
        std::max(0.0, integrated.variance[k] + out.cross.of_squares[static_cast<Eigen::Index>(k)]);
  }
  return out;
}

/// Moments over all voices. A voice that knows nothing of a place takes no part in what is said of
/// it, and lowers what its readings tell.
SweepPosterior gather(std::vector<Voice> voices, const std::vector<Eigen::Index>& begin) {
  const Eigen::Index n = begin.back();
  double sum = 0.0;
  for (const Voice& v : voices) {
    sum += v.weight;
  }
  SweepPosterior out;
  out.begin = begin;
  out.mean = Array::Zero(n);
  Array known = Array::Zero(n);
  std::array<double, 2> value{};
  for (Voice& v : voices) {
    v.weight /= sum;
    const Array knows = (v.cross.among.diagonal().array() > 0.0).cast<double>();
    known += v.weight * knows;
    out.mean += v.weight * knows * v.cross.mean;
    for (std::size_t k = 0; k < 2; ++k) {
      value[k] += v.weight * v.value[k];
    }
  }
  const Array safe = (known > 0.0).select(known, 1.0);
  out.mean /= safe;
  out.with = Matrix::Zero(n, 2);
  out.among = Matrix::Zero(n, n);
  for (const Voice& v : voices) {
    const Vector off =
        (v.cross.among.diagonal().array() > 0.0).select(v.cross.mean - out.mean, 0.0).matrix();
    out.with += v.weight * v.cross.with_functionals;
    out.among += v.weight * v.cross.among;
    out.among.noalias() += v.weight * off * off.transpose();
    for (std::size_t k = 0; k < 2; ++k) {
      const double apart = v.value[k] - value[k];
      out.variance[k] += v.weight * (v.variance[k] + apart * apart);
      out.with.col(static_cast<Eigen::Index>(k)) += v.weight * apart * off;
    }
  }
  const Vector scale = safe.sqrt().inverse().matrix();
  out.among = scale.asDiagonal() * out.among * scale.asDiagonal();
  return out;
}

}  // namespace

SweepPosterior foretell(const PlaneField& field,
                        std::size_t plane,
                        const Nodes& nodes,
                        const PlaneFlux& flux,
                        const std::vector<WantedSweep>& wanted,
                        int threads) {
  std::vector<std::size_t> weighty;
  for (std::size_t k = 0; k < field.parts.size(); ++k) {
    if (field.parts[k].weight >= lightest && flux.parts[k].mean.size() > 0) {
      weighty.push_back(k);
    }
  }
  std::vector<Eigen::Index> begin = {0};
  for (const WantedSweep& s : wanted) {
    begin.push_back(begin.back() + s.y.size());
  }
  std::vector<Voice> voices(weighty.size());
  parallel_for(weighty.size(), threads, [&](std::size_t i) {
    const WeightedPart& part = field.parts[weighty[i]];
    voices[i] = ask(part, flux.parts[weighty[i]], nodes, places_of(wanted, begin, part, plane));
  });
  return gather(std::move(voices), begin);
}

HeardSweep hear(const SweepPosterior& p, std::size_t sweep, const ReadingModel& readings) {
  HeardSweep h;
  for (Eigen::Index i = p.begin[sweep]; i < p.begin[sweep + 1]; ++i) {
    if (p.mean[i] > 0.8 * readings.starting_speed_m_s && p.among(i, i) > 0.0) {
      h.places.push_back(i);
    }
  }
  const auto n = static_cast<Eigen::Index>(h.places.size());
  const double gain = readings.sweep_gain_sd * readings.sweep_gain_sd;
  Matrix k(n, n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Eigen::Index a = h.places[static_cast<std::size_t>(i)];
    for (Eigen::Index j = 0; j < n; ++j) {
      const Eigen::Index b = h.places[static_cast<std::size_t>(j)];
      k(i, j) = p.among(a, b) + gain * p.mean[a] * p.mean[b];
    }
    const double sd = readings.noise(std::max(p.mean[a], 0.0));
    k(i, i) += sd * sd / readings.per_place;
  }
  h.factor = Eigen::LLT<Matrix>(k).matrixL();
  return h;
}

double variance_taken(const SweepPosterior& p, const HeardSweep& heard, int which) {
  Vector c = p.with.col(which)(heard.places);
  heard.factor.triangularView<Eigen::Lower>().solveInPlace(c);
  return c.squaredNorm();
}

}  // namespace sweepflux
