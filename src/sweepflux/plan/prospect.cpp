#include "sweepflux/base/error.hpp"
#include "sweepflux/base/parallel.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/air.hpp"
#include "sweepflux/derive/fewer_samples.hpp"
#include "sweepflux/integrate/draw_map_private.hpp"
#include "sweepflux/integrate/shape.hpp"
#include "sweepflux/judge/budget_private.hpp"
#include "sweepflux/plan/prior_field_private.hpp"
#include "sweepflux/plan/prospect_private.hpp"
#include "sweepflux/plan/stream_guess.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

constexpr std::size_t heights_a_plane = 25;
constexpr Eigen::Index places_a_candidate = 9;
constexpr double reach_y = 2.2, reach_z = 3.0;  // half widths that candidates span

/// Noise of a reading before there is any: 3 % + 0.05 m/s, the class of a good vane (from memory).
double usual_noise(double speed_m_s) { return std::hypot(0.05, 0.03 * speed_m_s); }

void add_candidates(Prospect& p) {
  for (std::size_t j = 0; j < p.planes.size(); ++j) {
    const Prospect::Plane& plane = p.planes[j];
    for (std::size_t i = 0; i < heights_a_plane; ++i) {
      const double h = plane.low_m + (plane.high_m - plane.low_m) * static_cast<double>(i) /
                                         static_cast<double>(heights_a_plane - 1);
      p.candidates.push_back({j, h});
    }
  }
}

std::vector<WantedSweep> wanted_sweeps(const Prospect& p) {
  std::vector<WantedSweep> wanted;
  for (const CandidateSweep& c : p.candidates) {
    const ExpectedStream& s = p.planes[c.plane].stream;
    WantedSweep w;
    w.plane = c.plane;
    w.y = Array::LinSpaced(places_a_candidate,
                           s.centre_y_m - reach_y * s.half_width_y_m,
                           s.centre_y_m + reach_y * s.half_width_y_m);
    w.z = Array::Constant(places_a_candidate, c.height_m);
    wanted.push_back(w);
  }
  return wanted;
}

struct Known {
  Nodes nodes;
  PlaneFlux flux;
};

void integrate(std::vector<Known>& known,
               const SurveyField& field,
               const std::vector<double>& starting_speeds_m_s,
               int threads) {
  std::vector<PlaneToIntegrate> planes;
  for (std::size_t j = 0; j < known.size(); ++j) {
    known[j].nodes = make_nodes(field.planes[j]);
    planes.push_back({&field.planes[j], &known[j].nodes, starting_speeds_m_s[j]});
  }
  std::vector<PlaneFlux> fluxes = integrate_planes(planes, threads);
  for (std::size_t j = 0; j < known.size(); ++j) {
    known[j].flux = std::move(fluxes[j]);
  }
}

/// Asks every plane's field about every candidate.
void ask(Prospect& p,
         const SurveyField& field,
         const std::vector<Known>& known,
         const std::vector<Outlook::Plane>& planes,
         double starting_speed,
         double gain_sd,
         const std::function<double(double)>& noise,
         int threads) {
  const std::vector<WantedSweep> wanted = wanted_sweeps(p);
  std::vector<std::vector<SweepPosterior>> flow(planes.size()), momentum(planes.size());
  parallel_for(2 * planes.size(), threads, [&](std::size_t k) {
    const std::size_t j = k / 2;
    auto& to = k % 2 == 0 ? flow[j] : momentum[j];
    to = foretell(field.planes[j],
                  j,
                  known[j].nodes,
                  known[j].flux,
                  k % 2 == 0 ? Target::flow : Target::momentum,
                  wanted,
                  1);
  });
  const std::size_t stops = 21;
  const double per_place = static_cast<double>(stops) / static_cast<double>(places_a_candidate);
  p.outlook = std::make_unique<Outlook>(
      planes, std::move(flow), std::move(momentum), starting_speed, gain_sd, per_place, noise);
}

/// Relative doubt that no sweep takes away, known before any: probe, distance, density.
double common_share(const Survey& survey, const StreamGuess& g, int which) {
  const double power = which == 0 ? 1.0 : 2.0;
  const double scale = power * survey.probe.scale_uncertainty;
  // Offset over the stream's area against the flow: Gaussian, area within a twentieth of the peak.
  const double offset = power * survey.probe.offset_uncertainty_m_s * std::log(20.0) / g.peak_m_s;
  const double stretch =
      survey.rig.motion == Motion::swivel ? survey.rig.distance_uncertainty_m / g.distance_m : 0.0;
  return std::hypot(std::hypot(scale, offset), stretch);
}

}  // namespace

Prospect prospect_from_guess(const Survey& survey, const PlanOptions& options) {
  Prospect p;
  p.density_kg_m3 = air_density_kg_m3(survey.air).value;
  std::vector<double> distances = survey.plan.distances_m;
  if (distances.empty()) {
    const std::size_t count = options.budget_s.value_or(3600.0) > 2.6 * 3600.0 ? 2 : 1;
    ProposedDistances proposed = propose_distances(survey, count);
    distances = proposed.distances_m;
    p.reasons = proposed.reasons;
  }
  std::sort(distances.begin(), distances.end());
  std::vector<StreamGuess> guesses;
  for (const double d : distances) {
    const StreamGuess g = guess_stream(survey, d);
    if (g.peak_m_s <= 1.5 * survey.probe.starting_speed_m_s) {
      throw NumericalError("at " + format_number(d) + " m the stream is expected to peak at " +
                           format_number(g.peak_m_s, 2) +
                           " m/s, too near the probe's starting speed: go nearer, or use a probe "
                           "that starts lower");
    }
    for (const std::string& c : distance_caveats(survey, g)) {
      p.caveats.push_back(c);
    }
    const HeightRange range = possible_heights(survey, g, reach_z);
    Prospect::Plane plane;
    plane.distance_m = d;
    plane.stream = {0.0, g.centre_height_m, g.half_width_y_m, g.half_width_z_m};
    plane.low_m = range.low_m;
    plane.high_m = range.high_m;
    p.planes.push_back(plane);
    guesses.push_back(g);
  }
  add_candidates(p);
  const SurveyField field = prior_field(survey, guesses);
  std::vector<Known> known(guesses.size());
  std::vector<Outlook::Plane> planes(guesses.size());
  integrate(known, field, std::vector<double>(guesses.size(), 0.0), options.threads);
  for (std::size_t j = 0; j < guesses.size(); ++j) {
    for (int k = 0; k < 2; ++k) {
      const auto u = static_cast<std::size_t>(k);
      planes[j].value[k] = known[j].flux.value[u];
      planes[j].own_sd[k] = known[j].flux.within[u];
      planes[j].common_sd[k] = known[j].flux.value[u] * common_share(survey, guesses[j], k);
    }
  }
  ask(p, field, known, planes, survey.probe.starting_speed_m_s, 0.01, usual_noise, options.threads);
  return p;
}

Prospect prospect_from_sweeps(const Survey& survey,
                              const PlanOptions& options,
                              const Progress& progress) {
  Prospect p;
  const Measured density = air_density_kg_m3(survey.air);
  p.density_kg_m3 = density.value;
  const std::vector<PlaneSamples> samples = fewer_samples(derive_samples(survey, options.threads));
  ReconstructOptions reconstruct_options;
  reconstruct_options.threads = options.threads;
  const SurveyField field = reconstruct(samples, reconstruct_options, progress);
  std::vector<Known> known(samples.size());
  std::vector<Outlook::Plane> planes(samples.size());
  std::vector<double> starting_speeds;
  for (const PlaneSamples& s : samples) {
    starting_speeds.push_back(s.starting_speed_m_s);
  }
  integrate(known, field, starting_speeds, options.threads);
  for (std::size_t j = 0; j < samples.size(); ++j) {
    const PlaneField& f = field.planes[j];
    const PlaneFlux& flux = known[j].flux;
    const StreamShape shape = measure_shape(draw_map(f, known[j].nodes, flux, samples[j], 0.0));
    const BudgetedFlux all = make_budget(
        flux, {0.0, 0.0, 0.0}, samples[j], survey.rig.motion == Motion::swivel, density);
    const double total[2] = {all.volume_flow_m3_s.standard_uncertainty,
                             all.momentum_flux_n.standard_uncertainty / density.value};
    for (int k = 0; k < 2; ++k) {
      const auto u = static_cast<std::size_t>(k);
      planes[j].value[k] = flux.value[u];
      planes[j].own_sd[k] = flux.total[u];
      planes[j].common_sd[k] =
          std::sqrt(std::max(0.0, total[k] * total[k] - flux.total[u] * flux.total[u]));
    }
    Prospect::Plane plane;
    plane.distance_m = samples[j].distance_m;
    plane.stream = {shape.centre.y_m,
                    shape.centre.z_m,
                    std::max(shape.half_width_y_m, 0.5 * f.half_width_y_m),
                    std::max(shape.half_width_z_m, 0.5 * f.half_width_z_m)};
    plane.taken_m = f.frame.heights_m;
    StreamGuess around;
    around.distance_m = plane.distance_m;
    around.centre_height_m = shape.centre.z_m;
    around.half_width_z_m = plane.stream.half_width_z_m;
    const HeightRange range = possible_heights(survey, around, reach_z);
    plane.low_m = range.low_m;
    plane.high_m = range.high_m;
    p.planes.push_back(plane);
  }
  for (const double d : survey.plan.distances_m) {
    const bool swept = std::any_of(samples.begin(), samples.end(), [&](const PlaneSamples& s) {
      return std::abs(s.distance_m - d) < 1e-3;
    });
    if (!swept) {
      p.caveats.push_back("no sweep was made at " + format_number(d) +
                          " m yet; this plan adds to the distances that have some. Plan that "
                          "distance by itself first");
    }
  }
  add_candidates(p);
  const NoiseModel noise = samples.front().noise;
  ask(
      p,
      field,
      known,
      planes,
      survey.probe.starting_speed_m_s,
      samples.front().sweep_gain_sd,
      [noise](double speed) { return noise.sd_m_s(speed); },
      options.threads);
  return p;
}

}  // namespace sweepflux
