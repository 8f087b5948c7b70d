#include "sweepflux/base/parallel.hpp"
#include "sweepflux/field/stream/stream_posterior_private.hpp"
#include "sweepflux/field/stream/stream_scales_private.hpp"
#include "sweepflux/field/stream/survey_likelihood_private.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <iterator>
#include <memory>
#include <utility>

namespace sweepflux {
namespace {

constexpr std::size_t islands = 2;
/// A number of cores, and any above it, is not sampled if the normals that touch its modes
/// [Laplace] have it so much less likely (natural logarithm): in the five truths where the sampler
/// was asked they were wrong by 10 at most, on a survey of the demo by 14. An assumption.
constexpr double least_log_evidence = -15.0;
/// A further core is not tried where the last one left the stream this much less likely. An
/// assumption.
constexpr double least_to_go_on = -5.0;
/// So few sweeps leave much open, in places far apart, which only a rise from the prior finds; of
/// further cores, in so many coordinates, it misses narrow modes, so one island starts at those.
/// More sweeps leave so little of the prior that a rise from it gets lost.
constexpr std::size_t few_sweeps = 4;
/// So few sweeps a plane, of several, leave likely streams in many places: normals about the modes
/// are all but the prior, and the rise is slow.
constexpr double widest_start_power = 0.03, slow_keep = 0.7, slow_moves = 3.0;
constexpr int slow_rounds = 50;  // at most; of a rise from the prior too
/// Of a kind's draws, at least, from either island, so that the two can be compared.
constexpr double least_of_island = 0.25;
/// Readings of one row lie no farther apart than this share of a free jet's half width.
constexpr double finest_share = 0.3;
constexpr double finest_spread = 0.094;

/// One kind on one island; the sampler holds the target, and that the likelihood.
struct KindSampler {
  SurveyLikelihood likelihood;
  SamplerTarget target;
  PopulationSampler sampler;

  KindSampler(const StreamPrior& prior,
              const std::vector<PlaneReadings>& readings,
              std::vector<StartingNormal> start,
              const std::function<bool()>& stop,
              const SamplerOptions& options)
      : likelihood(prior, readings),
        target(likelihood.target(stop, std::move(start))),
        sampler(target, options) {
    sampler.rise();
  }
  KindSampler(const KindSampler&) = delete;
  KindSampler& operator=(const KindSampler&) = delete;
};

/// Streams of one number of cores.
struct Kind {
  StreamPrior prior;
  double log_probability;  ///< of the prior
  double log_mode = 0.0;   ///< log evidence of the likeliest mode, with that
  std::vector<StartingNormal> start = {};
  std::array<std::unique_ptr<KindSampler>, islands> samplers = {};
  std::array<std::size_t, islands> draws = {};

  Kind(StreamPrior of_kind, double log_of_prior)
      : prior(std::move(of_kind)), log_probability(log_of_prior) {}

  /// With the prior's log probability.
  [[nodiscard]] double log_evidence(std::size_t island) const {
    return log_probability + samplers[island]->sampler.log_evidence();
  }
  [[nodiscard]] double likeliest() const { return std::max(log_evidence(0), log_evidence(1)); }
};

/// Of one stream of numbers a purpose, half and number of cores.
std::uint64_t seed_of(std::uint64_t purpose,
                      const PosteriorOptions& options,
                      std::size_t island,
                      std::size_t k) {
  return (purpose + options.seed * islands + island) * most_cores + k;
}

std::size_t sweeps_of(const StreamPosterior::Parts& parts) {
  std::size_t all = 0;
  for (const PlaneReadings& r : parts.readings) {
    all += r.sweeps;
  }
  return all;
}

/// Starts and samples streams of one core, then of ever more, as long as the readings leave them
/// likely.
class KindSearch {
 public:
  KindSearch(const StreamPosterior::Parts& parts,
             const PosteriorOptions& options,
             const Progress& progress)
      : p_(parts),
        o_(options),
        progress_(progress),
        few_(sweeps_of(parts) <= few_sweeps),
        sparse_(!few_ && sweeps_of(parts) <= few_sweeps * parts.readings.size()) {}

  std::vector<std::unique_ptr<Kind>> run(bool anything_read) {
    std::vector<std::unique_ptr<Kind>> kinds;
    const bool by_modes = anything_read && !few_;
    double best_mode = -1e300;
    for (const double probability : StreamPrior::probabilities(p_.scales.shape)) {
      const Kind* simpler = kinds.empty() ? nullptr : kinds.back().get();
      kinds.push_back(std::make_unique<Kind>(
          StreamPrior(p_.scales, static_cast<int>(kinds.size()) + 1), std::log(probability)));
      Kind& kind = *kinds.back();
      kind.log_mode = anything_read ? search(kind, simpler, kinds.size() - 1) : 0.0;
      const bool unlikely = by_modes && kind.log_mode < best_mode + least_log_evidence;
      // Streams of one core are sampled once it is known whether those of two are so much likelier.
      if (kinds.size() == 2 && !(by_modes && best_mode < kind.log_mode + least_log_evidence)) {
        rise(*kinds.front(), 0, 1.0);
      }
      if (unlikely) {
        kinds.pop_back();
        break;
      }
      const double share = by_modes && kind.log_mode < best_mode ? 0.5 : 1.0;
      best_mode = std::max(best_mode, kind.log_mode);
      if (kinds.size() > 1) {
        rise(kind, kinds.size() - 1, share);
        if (kind.likeliest() < best_ + least_to_go_on) {
          break;
        }
      }
    }
    std::erase_if(kinds, [](const auto& kind) { return kind->samplers[0] == nullptr; });
    return kinds;
  }

 private:
  /// Log evidence of the likeliest mode, with the prior's log probability.
  double search(Kind& kind, const Kind* simpler, std::size_t k) const {
    std::array<std::vector<Mode>, islands> of_island;
    parallel_for(islands, o_.threads, [&](std::size_t island) {
      Dice dice(seed_of(500009, o_, island, k));
      SurveyLikelihood likelihood(kind.prior, p_.readings);
      ModeSearch how = likelihood.search();
      how.start_power = sparse_ ? widest_start_power : how.start_power;
      of_island[island] = find_modes(likelihood.target(progress_.stop_wanted), how, dice);
    });
    std::vector<Mode> modes;
    double best = -1e300;
    for (const std::vector<Mode>& found : of_island) {
      for (const Mode& m : found) {
        modes.push_back(m);
        best = std::max(best, m.log_evidence);
      }
    }
    kind.start =
        start_from(modes, simpler != nullptr ? simpler->start : std::vector<StartingNormal>{});
    return best + kind.log_probability;
  }

  /// @param share  of the particles that a likely number of cores has
  void rise(Kind& kind, std::size_t k, double share) {
    // So many islands start from the prior, the others at the modes.
    std::size_t from_prior = 0;
    SamplerOptions sampling;
    if (few_) {
      from_prior = k == 0 ? islands : 1;
      sampling.particles = k == 0 ? 512 : 256;
      sampling.left = 0.6;
      sampling.moves = 2.0;
      sampling.most_rounds = slow_rounds;
    } else {
      const double likely = p_.readings.size() == 1 ? 256.0 : 128.0;
      sampling.particles = static_cast<std::size_t>(share * likely);
      if (sparse_) {
        sampling.keep = slow_keep;
        sampling.moves = slow_moves;
        sampling.most_rounds = slow_rounds;
      }
    }
    parallel_for(islands, o_.threads, [&](std::size_t island) {
      SamplerOptions own = sampling;
      own.seed = seed_of(0, o_, island, k);
      kind.samplers[island] = std::make_unique<KindSampler>(
          kind.prior,
          p_.readings,
          island < from_prior ? std::vector<StartingNormal>{} : kind.start,
          progress_.stop_wanted,
          own);
    });
    best_ = std::max(best_, kind.likeliest());
  }

  const StreamPosterior::Parts& p_;
  const PosteriorOptions& o_;
  const Progress& progress_;
  const bool few_;
  const bool sparse_;
  double best_ = -1e300;  ///< log evidence of any number of cores
};

/// Shares out the draws by evidence: over the kinds, then over the islands of each, as one of them
/// may have missed what the other found.
void share_draws(const std::vector<std::unique_ptr<Kind>>& kinds, std::size_t draws) {
  double best = -1e300;
  for (const auto& kind : kinds) {
    best = std::max(best, kind->likeliest());
  }
  double sum = 0.0;
  std::vector<std::array<double, islands>> weight;
  for (const auto& kind : kinds) {
    weight.push_back(
        {std::exp(kind->log_evidence(0) - best), std::exp(kind->log_evidence(1) - best)});
    sum += weight.back()[0] + weight.back()[1];
  }
  double reached = 0.0;
  std::size_t given = 0;
  for (std::size_t k = 0; k < kinds.size(); ++k) {
    const double of_kind = weight[k][0] + weight[k][1];
    reached += of_kind / sum * static_cast<double>(draws);
    const std::size_t count = static_cast<std::size_t>(std::lround(reached)) - given;
    const double first = of_kind > 0.0 ? weight[k][0] / of_kind : 0.5;
    kinds[k]->draws[0] = static_cast<std::size_t>(std::lround(
        std::clamp(first, least_of_island, 1.0 - least_of_island) * static_cast<double>(count)));
    kinds[k]->draws[1] = count - kinds[k]->draws[0];
    given += count;
  }
}

}  // namespace

StreamPosterior::StreamPosterior() = default;
StreamPosterior::StreamPosterior(std::unique_ptr<Parts> parts) : parts_(std::move(parts)) {}
StreamPosterior::~StreamPosterior() = default;
StreamPosterior::StreamPosterior(StreamPosterior&&) noexcept = default;
StreamPosterior& StreamPosterior::operator=(StreamPosterior&&) noexcept = default;

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
  const std::vector<std::unique_ptr<Kind>> kinds =
      KindSearch(p, options, progress).run(anything_read);
  share_draws(kinds, options.draws);
  std::vector<std::vector<Parts::Draw>> drawn(islands * kinds.size());
  parallel_for(drawn.size(), options.threads, [&](std::size_t task) {
    const std::size_t island = task / kinds.size(), k = task % kinds.size();
    const Kind& kind = *kinds[k];
    KindSampler& of_kind = *kind.samplers[island];
    Dice dice(seed_of(1000003, options, island, k));
    const auto normal = [&] { return dice.normal(); };
    for (const std::vector<double>& z : of_kind.sampler.draws(kind.draws[island])) {
      Parts::Draw draw;
      draw.stream = kind.prior.stream(z);
      draw.planes = of_kind.likelihood.draw(draw.stream, normal);
      drawn[task].push_back(std::move(draw));
    }
  });
  for (std::vector<Parts::Draw>& of_task : drawn) {
    std::move(of_task.begin(), of_task.end(), std::back_inserter(p.draws));
  }
  for (const auto& kind : kinds) {
    for (const auto& of_island : kind->samplers) {
      p.report.evaluations += of_island->sampler.evaluations();
      p.report.effective_draws += of_island->sampler.effective_draws();
    }
    p.report.of_first_half += kind->draws[0];
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
  const std::vector<float>& c = d.planes[plane].coefficients;
  const PlanePoint o = p.origin[plane];
  const double side = p.mirrored ? -1.0 : 1.0;
  std::vector<float> y(at.size()), z(at.size());
  for (std::size_t i = 0; i < at.size(); ++i) {
    y[i] = static_cast<float>(side * (at[i].y_m - o.y_m) / p.scales.length_m);
    z[i] = static_cast<float>((at[i].z_m - o.z_m) / p.scales.length_m);
  }
  StreamSpeeds v;
  stream_speeds(s, y.data(), z.data(), at.size(), false, v);
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
