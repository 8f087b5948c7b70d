#include "sweepflux/base/parallel.hpp"
#include "sweepflux/field/stream/stream_posterior_private.hpp"
#include "sweepflux/field/stream/survey_likelihood_private.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <iterator>
#include <memory>
#include <numeric>
#include <set>
#include <utility>

namespace sweepflux {
namespace {

constexpr std::size_t islands = 2;
/// A number of cores is not sampled if the normals that touch its modes [Laplace] have it so much
/// less likely (natural logarithm): in the five truths where the sampler was asked they were wrong
/// by 10 at most.
constexpr double least_log_evidence = -15.0;
/// Readings of one row lie no farther apart than this share of a free jet's half width.
constexpr double finest_share = 0.3;
constexpr double finest_spread = 0.094;
double mean_of_highest(const PlaneSamples& plane) {
  std::array<double, 3> top{};
  for (const Sample& s : plane.samples) {
    if (!s.censored && s.speed_m_s > top[2]) {
      top[2] = s.speed_m_s;
      std::sort(top.begin(), top.end(), std::greater<>());
    }
  }
  const double sum = top[0] + top[1] + top[2];
  const auto count = std::count_if(top.begin(), top.end(), [](double v) { return v > 0.0; });
  return count > 0 ? sum / static_cast<double>(count) : 0.0;
}

/// A statistic that changes sign when the planes are mirrored about the outlet's middle.
bool leans_left(const std::vector<PlaneSamples>& planes) {
  double first = 0.0, third = 0.0, size = 0.0;
  for (const PlaneSamples& p : planes) {
    for (const Sample& s : p.samples) {
      if (!s.censored) {
        const double y = s.at.y_m - p.outlet_centre.y_m;
        first += s.speed_m_s * y;
        third += s.speed_m_s * s.speed_m_s * y * y * y;
        size += s.speed_m_s * std::abs(y);
      }
    }
  }
  return std::abs(first) > 1e-9 * size ? first < 0.0 : third < 0.0;
}

}  // namespace

StreamPosterior::StreamPosterior() = default;
StreamPosterior::StreamPosterior(std::unique_ptr<Parts> parts) : parts_(std::move(parts)) {}
StreamPosterior::~StreamPosterior() = default;
StreamPosterior::StreamPosterior(StreamPosterior&&) noexcept = default;
StreamPosterior& StreamPosterior::operator=(StreamPosterior&&) noexcept = default;

namespace {

StreamScales scales_of(const std::vector<PlaneSamples>& planes,
                       const Outlet& outlet,
                       const PosteriorOptions& options) {
  StreamScales s;
  s.shape = outlet.shape;
  std::size_t most = 0;
  for (std::size_t p = 0; p < planes.size(); ++p) {
    if (planes[p].samples.size() > most) {
      most = planes[p].samples.size();
      s.reference = p;
    }
  }
  s.length_m = nine_digits(expected_half_width_m(outlet, planes[s.reference].downstream_m));
  double highest = 0.0, offset = 0.0;
  bool read = true;
  for (const PlaneSamples& p : planes) {
    s.downstream.push_back(nine_digits(p.downstream_m / s.length_m));
    // As fast at the reference plane as a stream that keeps its momentum.
    highest = std::max(
        highest, mean_of_highest(p) * expected_half_width_m(outlet, p.downstream_m) / s.length_m);
    offset = std::max(offset, std::hypot(p.common.offset_m_s, p.common.ambient_m_s));
    read = read && p.ambient_known;
  }
  if (highest <= 0.0) {
    highest = options.expected_speed_m_s *
              expected_half_width_m(outlet, planes.front().downstream_m) / s.length_m;
  }
  s.speed_m_s = nine_digits(options.prior_speed_m_s > 0.0 ? options.prior_speed_m_s : highest);
  s.extent_y = nine_digits(outlet.extent_y_m() / s.length_m);
  s.extent_z = nine_digits(outlet.extent_z_m() / s.length_m);
  s.offset_sd = nine_digits(offset / s.speed_m_s);
  s.drift_sd = read ? 0.0 : nine_digits(drift_of_room_m_s / s.speed_m_s);
  return s;
}

/// Streams of one number of cores.
struct Kind {
  StreamPrior prior;
  double log_probability = 0.0;  ///< of the prior
  std::vector<StartingNormal> start;
};

/// One kind on one island; the sampler holds the target, and that the likelihood.
struct KindSampler {
  SurveyLikelihood likelihood;
  SamplerTarget target;
  PopulationSampler sampler;

  KindSampler(const Kind& kind,
              const std::vector<PlaneReadings>& readings,
              const std::function<bool()>& stop,
              const SamplerOptions& options)
      : likelihood(kind.prior, readings),
        target(likelihood.target(stop, kind.start)),
        sampler(target, options) {}
  KindSampler(const KindSampler&) = delete;
  KindSampler& operator=(const KindSampler&) = delete;
};

/// The numbers of cores that the readings leave possible, with where to start from.
std::vector<Kind> kinds_of(const StreamPosterior::Parts& p,
                           bool anything_read,
                           const PosteriorOptions& options,
                           const Progress& progress) {
  std::vector<Kind> kinds;
  for (const double probability : StreamPrior::probabilities(p.scales.shape)) {
    kinds.push_back({StreamPrior(p.scales, static_cast<int>(kinds.size()) + 1),
                     std::log(probability),
                     {}});
  }
  if (!anything_read) {
    return kinds;
  }
  std::array<std::vector<std::vector<Mode>>, islands> found;
  parallel_for(islands, options.threads, [&](std::size_t island) {
    Dice dice(500009 + options.seed * islands + island);
    std::vector<std::size_t> simpler_active;
    for (const Kind& kind : kinds) {
      SurveyLikelihood likelihood(kind.prior, p.readings);
      const SamplerTarget target = likelihood.target(progress.stop_wanted);
      const std::vector<Mode> simpler =
          found[island].empty() ? std::vector<Mode>{} : found[island].back();
      found[island].push_back(
          find_modes(target, likelihood.search(), simpler, simpler_active, dice));
      simpler_active = target.active;
    }
  });
  std::vector<double> evidence;
  for (std::size_t k = 0; k < kinds.size(); ++k) {
    std::vector<Mode> modes;
    evidence.push_back(-1e300);
    for (const auto& of_island : found) {
      for (const Mode& m : of_island[k]) {
        modes.push_back(m);
        evidence[k] = std::max(evidence[k], m.log_evidence + kinds[k].log_probability);
      }
    }
    kinds[k].start = start_from(modes, k > 0 ? kinds[k - 1].start : std::vector<StartingNormal>{});
  }
  const double best = *std::max_element(evidence.begin(), evidence.end());
  std::vector<Kind> likely;
  for (std::size_t k = 0; k < kinds.size(); ++k) {
    if (evidence[k] >= best + least_log_evidence) {
      likely.push_back(std::move(kinds[k]));
    }
  }
  return likely;
}

/// How many of `draws` each kind gets.
///
/// @param log_evidence  of each in every island, with the prior's log probability
std::vector<std::size_t> draws_of_each(
    const std::vector<std::array<double, islands>>& log_evidence, std::size_t draws) {
  double best = -1e300, sum = 0.0;
  for (const auto& of_islands : log_evidence) {
    best = std::max(best, *std::max_element(of_islands.begin(), of_islands.end()));
  }
  std::vector<double> weight;
  for (const auto& of_islands : log_evidence) {
    weight.push_back(0.0);
    for (const double e : of_islands) {
      weight.back() += std::exp(e - best);
    }
    sum += weight.back();
  }
  std::vector<std::size_t> counts;
  double reached = 0.0;
  std::size_t given = 0;
  for (const double w : weight) {
    reached += w / sum * static_cast<double>(draws);
    counts.push_back(static_cast<std::size_t>(std::lround(reached)) - given);
    given += counts.back();
  }
  return counts;
}

}  // namespace

StreamPosterior StreamPosterior::sample(const std::vector<PlaneSamples>& planes,
                                        const Outlet& outlet,
                                        const PosteriorOptions& options,
                                        const Progress& progress) {
  StreamPosterior out;
  out.parts_ = std::make_unique<Parts>();
  Parts& p = *out.parts_;
  p.scales = scales_of(planes, outlet, options);
  p.mirrored = leans_left(planes);
  bool anything_read = false;
  for (const PlaneSamples& plane : planes) {
    anything_read = anything_read || !plane.samples.empty();
    p.origin.push_back(plane.outlet_centre);
    p.floor_m.push_back(plane.floor_m);
    p.readings.push_back(plane_readings(plane,
                                        {p.scales.length_m,
                                         p.scales.speed_m_s,
                                         finest_share * finest_spread * plane.downstream_m,
                                         p.mirrored}));
    p.readings.back().downstream = p.scales.downstream[p.readings.size() - 1];
  }
  const std::vector<Kind> kinds = kinds_of(p, anything_read, options, progress);
  const std::size_t draws = options.draws / islands;  // of an island
  std::vector<std::array<std::unique_ptr<KindSampler>, islands>> samplers(kinds.size());
  std::vector<std::array<double, islands>> log_evidence(kinds.size());
  parallel_for(kinds.size() * islands, options.threads, [&](std::size_t task) {
    const std::size_t k = task / islands, island = task % islands;
    SamplerOptions own;
    own.seed = (options.seed * islands + island) * most_cores + k;
    samplers[k][island] =
        std::make_unique<KindSampler>(kinds[k], p.readings, progress.stop_wanted, own);
    PopulationSampler& sampler = samplers[k][island]->sampler;
    sampler.rise();
    log_evidence[k][island] = kinds[k].log_probability + sampler.log_evidence();
  });
  const std::vector<std::size_t> counts = draws_of_each(log_evidence, draws);
  std::vector<std::array<std::vector<Parts::Draw>, islands>> drawn(kinds.size());
  std::vector<double> different(kinds.size() * islands);
  parallel_for(kinds.size() * islands, options.threads, [&](std::size_t task) {
    const std::size_t k = task / islands, island = task % islands;
    KindSampler& of_kind = *samplers[k][island];
    Dice dice((1000003 + options.seed * islands + island) * most_cores + k);
    const auto normal = [&] { return dice.normal(); };
    std::set<double> sums;
    for (const std::vector<double>& z : of_kind.sampler.draws(counts[k])) {
      sums.insert(std::accumulate(z.begin(), z.end(), 0.0));
      Parts::Draw draw;
      draw.stream = kinds[k].prior.stream(z);
      draw.coefficients = of_kind.likelihood.draw(draw.stream, normal);
      drawn[k][island].push_back(std::move(draw));
    }
    different[task] = static_cast<double>(sums.size());
  });
  p.report.effective_draws = std::accumulate(different.begin(), different.end(), 0.0);
  for (std::size_t island = 0; island < islands; ++island) {
    for (std::size_t k = 0; k < kinds.size(); ++k) {
      p.report.evaluations += samplers[k][island]->sampler.evaluations();
      std::move(drawn[k][island].begin(), drawn[k][island].end(), std::back_inserter(p.draws));
    }
  }
  p.report.draws = p.draws.size();
  return out;
}

std::size_t StreamPosterior::draws() const { return parts_->draws.size(); }
std::size_t StreamPosterior::planes() const { return parts_->readings.size(); }
std::optional<double> StreamPosterior::floor_m(std::size_t plane) const {
  return parts_->floor_m[plane];
}
const SamplerReport& StreamPosterior::report() const { return parts_->report; }

void StreamPosterior::speeds(std::size_t draw,
                             std::size_t plane,
                             std::span<const PlanePoint> at,
                             std::span<float> out) const {
  const Parts& p = *parts_;
  const Parts::Draw& d = p.draws[draw];
  const PlaneStream& s = d.stream.planes[plane];
  const std::vector<float>& c = d.coefficients[plane];
  const PlanePoint o = p.origin[plane];
  const double side = p.mirrored ? -1.0 : 1.0;
  std::vector<float> y(at.size()), z(at.size());
  for (std::size_t i = 0; i < at.size(); ++i) {
    y[i] = static_cast<float>(side * (at[i].y_m - o.y_m) / p.scales.length_m);
    z[i] = static_cast<float>((at[i].z_m - o.z_m) / p.scales.length_m);
  }
  StreamSpeeds v;
  stream_speeds(s, y.data(), z.data(), at.size(), v);
  const auto unit = static_cast<float>(p.scales.speed_m_s);
  const double floor_m = p.floor_m[plane].value_or(-1e300);
  const std::size_t stride = in_lanes(at.size());
  std::vector<float> columns(residual_columns * stride), g(at.size(), 1.0f);
  residual_at(s, v.p.data(), v.q.data(), v.r.data(), at.size(), columns.data());
  for (std::size_t j = 0; j < residual_columns; ++j) {
    for (std::size_t i = 0; i < at.size(); ++i) {
      g[i] += c[j] * columns[j * stride + i];
    }
  }
  for (std::size_t i = 0; i < at.size(); ++i) {
    out[i] = at[i].z_m < floor_m ? 0.0f : unit * v.u[i] * std::max(g[i], 0.0f);
  }
}

StreamPosterior::Extras StreamPosterior::extras(std::size_t draw) const {
  const Parts& p = *parts_;
  const Parts::Draw& d = p.draws[draw];
  return {d.stream.planes.front().cores,
          d.stream.drift * p.scales.speed_m_s,
          d.stream.offset * p.scales.speed_m_s,
          d.stream.noise_factor};
}

StreamPosterior::Extent StreamPosterior::extent(std::size_t draw, std::size_t plane) const {
  const Parts& p = *parts_;
  const PlaneStream& s = p.draws[draw].stream.planes[plane];
  const double side = p.mirrored ? -1.0 : 1.0, unit = p.scales.length_m;
  return {{p.origin[plane].y_m + side * s.y * unit, p.origin[plane].z_m + s.z * unit},
          s.a * unit,
          s.b * unit,
          s.cosine,
          side * s.sine};
}

}  // namespace sweepflux
