#include "sweepflux/base/parallel.hpp"
#include "sweepflux/base/statistics.hpp"
#include "sweepflux/derive/sample/air.hpp"
#include "sweepflux/field/stream/population_sampler.hpp"
#include "sweepflux/judge/budget_private.hpp"
#include "sweepflux/plan/prospect_private.hpp"

#include <Eigen/Cholesky>

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr Index places = 9;                     // of a candidate
constexpr double reach_y = 2.2, reach_z = 3.0;  // half widths that candidates span
constexpr double tail = 0.005;                  // of the draws, cut at either end
constexpr std::size_t rehearsal_draws = 320;    // of a stream that is only guessed
/// No reading is held to agree with any stream more closely than this, relative and of the peak: an
/// assumption, as in the model's own likelihood.
constexpr double least_share = 0.01, least_offset = 0.002;

/// The class of a good vane, until the readings show their own: from memory.
NoiseModel usual_noise() { return {0.05, 0.03}; }

/// Flow (0) or momentum flux over density (1) of a draw, with what the head averaged away.
double integral(const PlaneDraws& draws, std::size_t draw, std::size_t which) {
  return std::max(draws.whole[draw][which] + draws.head[draw][which], 1e-12);
}

/// Noise of a plane's readings; of the nearest plane that has any, for one that has none.
struct Readings {
  NoiseModel noise;
  double gain_sd = 0.01;
};
Readings readings_of(const KnownStream& known, std::size_t plane, double peak_m_s) {
  Readings r{usual_noise()};
  double nearest_m = 1e300;
  for (std::size_t j = 0; j < known.planes.size(); ++j) {
    const double off = std::abs(known.planes[j].distance_m - known.planes[plane].distance_m);
    if (known.swept(j) && off < nearest_m) {
      nearest_m = off;
      r = {known.planes[j].noise, known.planes[j].sweep_gain_sd};
    }
  }
  if (nearest_m < 1e300) {
    std::vector<double> factors;
    for (std::size_t d = 0; d < known.posterior.draws(); ++d) {
      factors.push_back(known.posterior.extras(d).noise_factor);
    }
    const double factor = median(factors);
    r.noise.offset_m_s *= factor;
    r.noise.share *= factor;
  }
  r.noise.offset_m_s = std::max(r.noise.offset_m_s, least_offset * peak_m_s);
  r.noise.share = std::hypot(r.noise.share, least_share);
  return r;
}

void cut_tails(Eigen::Ref<VectorXd> column) {
  std::vector<double> sorted(column.begin(), column.end());
  std::sort(sorted.begin(), sorted.end());
  const auto off = static_cast<std::size_t>(tail * static_cast<double>(sorted.size()));
  column = column.cwiseMax(sorted[off]).cwiseMin(sorted[sorted.size() - 1 - off]);
}

/// The draw whose flow, momentum flux, centre and widths are nearest to the medians in all planes.
std::size_t most_typical(const KnownStream& known) {
  std::vector<double> off(known.posterior.draws(), 0.0), values(off.size());
  const auto add = [&](const auto& value) {
    for (std::size_t d = 0; d < off.size(); ++d) {
      values[d] = value(d);
    }
    const double middle = median(values), scale = std::max(robust_scale(values), 1e-9);
    for (std::size_t d = 0; d < off.size(); ++d) {
      off[d] += std::pow((values[d] - middle) / scale, 2);
    }
  };
  for (const PlaneDraws& p : known.draws) {
    add([&](std::size_t d) { return std::log(integral(p, d, 0)); });
    add([&](std::size_t d) { return std::log(integral(p, d, 1)); });
    add([&](std::size_t d) { return std::log(p.peak_speed_m_s[d]); });
    add([&](std::size_t d) { return p.centre[d].y_m; });
    add([&](std::size_t d) { return p.centre[d].z_m; });
    add([&](std::size_t d) { return std::log(p.half_width_y_m[d] / p.half_width_z_m[d]); });
  }
  return static_cast<std::size_t>(std::min_element(off.begin(), off.end()) - off.begin());
}

std::vector<PlanePoint> places_of(const PlanPlane& plane, double height_m) {
  std::vector<PlanePoint> out;
  for (Index i = 0; i < places; ++i) {
    const double to = -1.0 + 2.0 * static_cast<double>(i) / static_cast<double>(places - 1);
    out.push_back({plane.stream.centre_y_m + to * reach_y * plane.stream.half_width_y_m, height_m});
  }
  return out;
}

}  // namespace

std::vector<PlanPlane> plan_planes(const Survey& survey, const KnownStream& known) {
  const Measured density = air_density_kg_m3(survey.air);
  std::vector<PlanPlane> out;
  for (std::size_t j = 0; j < known.planes.size(); ++j) {
    const PlaneSamples& samples = known.planes[j];
    const PlaneDraws& draws = known.draws[j];
    std::vector<double> y, z;
    for (const PlanePoint& c : draws.centre) {
      y.push_back(c.y_m);
      z.push_back(c.z_m);
    }
    PlanPlane p;
    p.stream = {samples.distance_m,
                samples.downstream_m,
                median(draws.peak_speed_m_s),
                median(draws.half_width_y_m),
                median(draws.half_width_z_m),
                median(y),
                median(z)};
    p.range = possible_heights(survey, p.stream, reach_z);
    for (const PlacedSweep& s : samples.sweeps) {
      p.swept_m.push_back(s.height_m);
    }
    p.silent = known.swept(j) && std::all_of(samples.samples.begin(),
                                             samples.samples.end(),
                                             [](const Sample& s) { return s.censored; });
    const double stretch = survey.rig.motion == Motion::swivel
                               ? survey.rig.distance_uncertainty_m / samples.distance_m
                               : 0.0;
    for (std::size_t k = 0; k < 2; ++k) {
      std::vector<double> values, heads;
      for (std::size_t d = 0; d < known.posterior.draws(); ++d) {
        values.push_back(integral(draws, d, k));
        heads.push_back(draws.head[d][k]);
      }
      p.value[k] = median(values);
      const double scale = (k == 0 ? 1.0 : 2.0) * survey.probe.scale_uncertainty;
      const double air = k == 0 ? 0.0 : density.standard_uncertainty / density.value;
      p.common[k] = {scale, stretch, air, head_uncertainty * median(heads) / p.value[k]};
    }
    out.push_back(std::move(p));
  }
  return out;
}

std::vector<CandidateSweep> possible_sweeps(const Survey& survey,
                                            const std::vector<PlanPlane>& planes) {
  std::vector<CandidateSweep> out;
  for (std::size_t j = 0; j < planes.size(); ++j) {
    const HeightRange& range = planes[j].range;
    for (std::size_t i = 0; i < heights_a_plane; ++i) {
      const double to = static_cast<double>(i) / static_cast<double>(heights_a_plane - 1);
      const double height = range.low_m + (range.high_m - range.low_m) * to;
      const std::vector<Stop> stops =
          lay_out_stops(survey, planes[j].stream.distance_m, height, expected(planes[j]));
      out.push_back({j, height, stops});
    }
  }
  return out;
}

KnownStream rehearse(const Survey& survey,
                     const KnownStream& prior,
                     const std::vector<PlanPlane>& planes,
                     const std::vector<CandidateSweep>& made,
                     int threads,
                     const Progress& progress) {
  const std::size_t typical = most_typical(prior);
  KnownStream out;
  out.planes = prior.planes;
  Dice dice(1);
  for (const CandidateSweep& c : made) {
    PlaneSamples& plane = out.planes[c.plane];
    plane.noise = usual_noise();
    std::vector<PlanePoint> at;
    for (const Stop& stop : c.stops) {
      at.push_back({across_m(survey, plane.distance_m, stop), c.height_m});
    }
    std::vector<float> u(at.size());
    prior.posterior.speeds(typical, c.plane, at, u);
    for (std::size_t i = 0; i < at.size(); ++i) {
      const double noise = plane.noise.sd_m_s(static_cast<double>(u[i]));
      const double read = static_cast<double>(u[i]) + noise * dice.normal();
      Sample s;
      s.at = at[i];
      s.censored = read <= plane.starting_speed_m_s;
      s.speed_m_s = std::max(read, plane.starting_speed_m_s);
      s.noise_m_s = noise;
      s.sweep = static_cast<int>(plane.sweeps.size());
      plane.samples.push_back(s);
    }
    plane.sweeps.push_back({});
    plane.sweeps.back().height_m = c.height_m;
  }
  PosteriorOptions options;
  options.threads = threads;
  options.draws = rehearsal_draws;
  options.expected_speed_m_s = planes.front().stream.peak_m_s;
  out.posterior = StreamPosterior::sample(out.planes, survey.outlet, options, progress);
  for (std::size_t j = 0; j < out.planes.size(); ++j) {
    out.draws.push_back(integrate_draws(out.posterior, j, Window{}, survey.probe, threads));
  }
  return out;
}

Prospect::Prospect(const Survey& survey,
                   const KnownStream& known,
                   const std::vector<PlanPlane>& planes,
                   const std::vector<CandidateSweep>& candidates,
                   int threads) {
  const auto draws = static_cast<Index>(known.posterior.draws());
  const auto integrals = static_cast<Index>(2 * planes.size());
  const Index first_place = integrals + 2;
  MatrixXd all(draws, first_place + places * static_cast<Index>(candidates.size()));
  std::vector<Readings> readings;
  std::vector<std::vector<PlanePoint>> points(planes.size());
  for (std::size_t j = 0; j < planes.size(); ++j) {
    common_variance_.push_back({planes[j].common[0].variance(), planes[j].common[1].variance()});
    readings.push_back(readings_of(known, j, planes[j].stream.peak_m_s));
    for (std::size_t i = 0; i < heights_a_plane; ++i) {
      const std::vector<PlanePoint> more =
          places_of(planes[j], candidates[j * heights_a_plane + i].height_m);
      points[j].insert(points[j].end(), more.begin(), more.end());
    }
  }
  parallel_for(known.posterior.draws(), threads, [&](std::size_t d) {
    const auto row = static_cast<Index>(d);
    const StreamPosterior::Extras extras = known.posterior.extras(d);
    all(row, integrals) = extras.drift_m_s;
    all(row, integrals + 1) = extras.offset_m_s;
    std::vector<float> u(heights_a_plane * static_cast<std::size_t>(places));
    Index column = 0;
    for (std::size_t j = 0; j < planes.size(); ++j) {
      for (std::size_t k = 0; k < 2; ++k) {
        all(row, static_cast<Index>(2 * j + k)) = std::log(integral(known.draws[j], d, k));
      }
      known.posterior.speeds(d, j, points[j], u);
      const NoiseModel& noise = readings[j].noise;
      for (const float stream : u) {
        const double read =
            std::max(static_cast<double>(stream) + extras.drift_m_s + extras.offset_m_s,
                     survey.probe.starting_speed_m_s);
        all(row, first_place + column++) =
            std::asinh(noise.share * read / noise.offset_m_s) / noise.share;
      }
    }
  });
  for (Index c = 0; c < all.cols(); ++c) {
    cut_tails(all.col(c));
  }
  const VectorXd mean = all.colwise().mean();
  all.rowwise() -= mean.transpose();
  covariance_ = all.transpose() * all / static_cast<double>(draws - 1);

  for (std::size_t c = 0; c < candidates.size(); ++c) {
    const std::size_t plane = candidates[c].plane;
    const NoiseModel& noise = readings[plane].noise;
    Rows rows{first_place + places * static_cast<Index>(c), places, {}, VectorXd(places)};
    VectorXd by_gain(places);
    for (Index i = 0; i < places; ++i) {
      const double speed =
          noise.offset_m_s / noise.share * std::sinh(noise.share * mean[rows.begin + i]);
      const double sd = std::hypot(noise.offset_m_s, noise.share * speed);
      by_gain[i] = readings[plane].gain_sd * speed / sd;
      rows.weight[i] = sd * sd / (planes[plane].stream.peak_m_s * planes[plane].stream.peak_m_s);
    }
    // An error of the height shows as the mean's slope, from the neighbours above and below.
    const std::size_t below = c % heights_a_plane > 0 ? c - 1 : c;
    const std::size_t above = (c + 1) % heights_a_plane > 0 ? c + 1 : c;
    const double apart = candidates[above].height_m - candidates[below].height_m;
    const VectorXd by_height =
        survey.rig.height_uncertainty_m / apart *
        (mean.segment(first_place + places * static_cast<Index>(above), places) -
         mean.segment(first_place + places * static_cast<Index>(below), places));
    // Each place stands for several stops.
    const double a_place =
        static_cast<double>(places) / static_cast<double>(candidates[c].stops.size());
    rows.noise = a_place * MatrixXd::Identity(places, places) + by_gain * by_gain.transpose() +
                 by_height * by_height.transpose();
    rows_.push_back(std::move(rows));
  }
}

double Prospect::variance(std::size_t plane, std::size_t which) const {
  const auto i = static_cast<Index>(2 * plane + which);
  return std::max(covariance_(i, i), 0.0) + common_variance_[plane][which];
}

MatrixXd Prospect::whitened(std::size_t candidate, Index begin, Index count) const {
  const Rows& r = rows_[candidate];
  const Eigen::LLT<MatrixXd> own(covariance_.block(r.begin, r.begin, r.count, r.count) + r.noise);
  return own.matrixL().solve(covariance_.block(r.begin, begin, r.count, count));
}

double Prospect::fall(std::size_t candidate, PlanTarget target) const {
  double before = 0.0, after = 0.0;
  if (target == PlanTarget::map) {
    const Index first = rows_.front().begin, count = covariance_.cols() - first;
    const VectorXd taken = whitened(candidate, first, count).colwise().squaredNorm();
    for (const Rows& r : rows_) {
      for (Index i = 0; i < r.count; ++i) {
        const double now = covariance_(r.begin + i, r.begin + i);
        before += r.weight[i] * now;
        after += r.weight[i] * std::max(now - taken[r.begin - first + i], 0.0);
      }
    }
  } else {
    const std::size_t which = target == PlanTarget::flow ? 0 : 1;
    const auto planes = static_cast<Index>(common_variance_.size());
    const VectorXd taken = whitened(candidate, 0, 2 * planes).colwise().squaredNorm();
    for (std::size_t j = 0; j < common_variance_.size(); ++j) {
      const double now = variance(j, which);
      const double then =
          std::max(now - taken[static_cast<Index>(2 * j + which)], common_variance_[j][which]);
      before += now * now;
      after += then * then;
    }
  }
  return before > 0.0 ? 1.0 - after / before : 0.0;
}

void Prospect::sweep(std::size_t candidate) {
  const MatrixXd w = whitened(candidate, 0, covariance_.cols());
  covariance_.noalias() -= w.transpose() * w;
}

double Prospect::share(std::size_t plane, std::size_t which) const {
  return std::sqrt(variance(plane, which));
}

double Prospect::share_of_drift(std::size_t plane, std::size_t which) const {
  const auto i = static_cast<Index>(2 * plane + which);
  const auto drift = static_cast<Index>(2 * common_variance_.size());
  MatrixXd own = covariance_.block(drift, drift, 2, 2);
  own.diagonal().array() += 1e-12;  // both may be known exactly
  const VectorXd with = covariance_.block(drift, i, 2, 1);
  return std::sqrt(std::max(with.dot(own.llt().solve(with)), 0.0));
}

}  // namespace sweepflux
