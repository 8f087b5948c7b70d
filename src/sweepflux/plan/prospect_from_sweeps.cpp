#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/sample/air.hpp"
#include "sweepflux/derive/sample/fewer_samples.hpp"
#include "sweepflux/integrate/draw_map_private.hpp"
#include "sweepflux/integrate/shape.hpp"
#include "sweepflux/judge/budget_private.hpp"
#include "sweepflux/plan/views_private.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

/// A plane that has sweeps: what is known of its integrals, in a room at rest or read.
Outlook::Plane measured_plane(const Survey& survey,
                              const PlaneFlux& flux,
                              const PlaneSamples& samples,
                              const Measured& density) {
  const BudgetedFlux all =
      make_budget(flux, {0.0, 0.0, 0.0}, samples, survey.rig.motion == Motion::swivel, density);
  const double total[2] = {all.volume_flow_m3_s.standard_uncertainty,
                           all.momentum_flux_n.standard_uncertainty / density.value};
  Outlook::Plane plane;
  for (std::size_t k = 0; k < 2; ++k) {
    plane.value[k] = flux.value[k];
    // The tail's doubt stays: sweeps between those that were made tell nothing of it.
    plane.own_sd[k] = std::hypot(flux.within[k], flux.between[k]);
    plane.common_sd[k] =
        std::sqrt(std::max(0.0, total[k] * total[k] - plane.own_sd[k] * plane.own_sd[k]));
  }
  return plane;
}

StreamGuess measured_stream(const PlaneField& field,
                            const Known& known,
                            const PlaneSamples& samples) {
  const StreamShape shape = measure_shape(draw_map(field, known.nodes, known.flux, samples, 0.0));
  StreamGuess s;
  s.distance_m = samples.distance_m;
  s.downstream_m = samples.downstream_m;
  s.peak_m_s = known.flux.mean.maxCoeff();
  s.centre_y_m = shape.centre.y_m;
  s.centre_height_m = shape.centre.z_m;
  s.half_width_y_m = std::max(shape.half_width_y_m, 0.5 * field.half_width_y_m);
  s.half_width_z_m = std::max(shape.half_width_z_m, 0.5 * field.half_width_z_m);
  return s;
}

std::size_t nearest(const std::vector<StreamGuess>& streams, double distance_m) {
  const auto near = std::min_element(
      streams.begin(), streams.end(), [&](const StreamGuess& a, const StreamGuess& b) {
        return std::abs(a.distance_m - distance_m) < std::abs(b.distance_m - distance_m);
      });
  return static_cast<std::size_t>(near - streams.begin());
}

/// The stream of a plane with sweeps carried to another distance: on a straight axis from the
/// outlet, wider as a free jet is, of the same momentum.
StreamGuess carried_stream(const Survey& survey, const StreamGuess& near, double distance_m) {
  StreamGuess s = guess_stream(survey, distance_m);  // tells of a distance behind the outlet
  const double wider = free_jet_spread * (s.downstream_m - near.downstream_m);
  s.half_width_y_m = std::max(0.3 * near.half_width_y_m, near.half_width_y_m + wider);
  s.half_width_z_m = std::max(0.3 * near.half_width_z_m, near.half_width_z_m + wider);
  s.peak_m_s = near.peak_m_s * std::sqrt(near.half_width_y_m * near.half_width_z_m /
                                         (s.half_width_y_m * s.half_width_z_m));
  const double farther = s.downstream_m / near.downstream_m;
  s.centre_y_m = near.centre_y_m * farther;
  s.centre_height_m = survey.outlet.centre_height_m +
                      (near.centre_height_m - survey.outlet.centre_height_m) * farther;
  return s;
}

/// A plane without sweeps: momentum as in the near one, flow as peak and widths have it; doubt in
/// the share that the open stream gives.
Outlook::Plane carried_plane(Outlook::Plane open,
                             const Outlook::Plane& near,
                             const StreamGuess& there,
                             const StreamGuess& here) {
  const auto volume = [](const StreamGuess& s) {
    return s.peak_m_s * s.half_width_y_m * s.half_width_z_m;
  };
  const double value[2] = {near.value[0] * volume(there) / volume(here), near.value[1]};
  for (int k = 0; k < 2; ++k) {
    const double scale = value[k] / open.value[k];
    open.value[k] = value[k];
    open.own_sd[k] *= scale;
    open.common_sd[k] *= scale;
  }
  return open;
}

bool anything_heard(const PlaneSamples& plane) {
  return std::any_of(
      plane.samples.begin(), plane.samples.end(), [](const Sample& s) { return !s.censored; });
}

/// Away from heights where nothing was heard: the middle is at least a half width from each.
StreamGuess away_from(StreamGuess stream, const std::vector<double>& blank_m) {
  const double half = stream.half_width_z_m;
  const auto free = [&](double height_m) {
    return std::all_of(blank_m.begin(), blank_m.end(), [&](double blank) {
      return std::abs(height_m - blank) > half;
    });
  };
  const double middle = stream.centre_height_m;
  for (int step = 0; step < 200; ++step) {
    for (const double sign : {1.0, -1.0}) {
      const double height = middle + sign * 0.05 * half * step;
      if (free(height)) {
        stream.centre_height_m = height;
        return stream;
      }
    }
  }
  return stream;
}

/// How much the open view counts. A stream as tall as its outlet has ends that one row tells
/// nothing of, and a fit to it is sure too soon; one that has outgrown its outlet shows its scale
/// in every row. Found in a study on known fields (tests/bench/plan_study), no published source.
double share_of_open_view(const Survey& survey, const StreamGuess& stream, std::size_t rows) {
  const double grown = free_jet_spread * stream.downstream_m;
  const double half = std::max(grown, 0.5 * survey.outlet.extent_z_m());
  return rows == 1 ? std::min(1.0, 2.0 * (1.0 - grown / half)) : 0.0;
}

}  // namespace

Prospect prospect_from_sweeps(const Survey& survey,
                              const PlanOptions& options,
                              const Progress& progress) {
  Prospect p;
  const Measured density = air_density_kg_m3(survey.air);
  p.density_kg_m3 = density.value;
  const std::vector<PlaneSamples> samples = fewer_samples(derive_samples(survey, options.threads));
  ReconstructOptions reconstruct_options;
  reconstruct_options.threads = options.threads;
  reconstruct_options.allow_drift = false;  // no sweep tells of it; plan/schedule says so
  const SurveyField field = reconstruct(samples, reconstruct_options, progress);
  std::vector<double> starting_speeds;
  for (const PlaneSamples& s : samples) {
    starting_speeds.push_back(s.starting_speed_m_s);
  }
  const std::vector<Known> known = integrate(field, starting_speeds, options.threads);
  std::vector<Outlook::Plane> planes(samples.size());
  std::vector<StreamGuess> streams(samples.size()), heard;
  std::vector<std::size_t> heard_plane;
  for (std::size_t j = 0; j < samples.size(); ++j) {
    if (anything_heard(samples[j])) {
      planes[j] = measured_plane(survey, known[j].flux, samples[j], density);
      streams[j] = measured_stream(field.planes[j], known[j], samples[j]);
      heard.push_back(streams[j]);
      heard_plane.push_back(j);
    }
  }
  const auto expected = [&](double distance_m) {
    return heard.empty() ? guess_stream(survey, distance_m)
                         : carried_stream(survey, heard[nearest(heard, distance_m)], distance_m);
  };
  std::vector<double> closed_share, open_share;
  std::vector<std::size_t> foreseen;
  for (std::size_t j = 0; j < samples.size(); ++j) {
    const std::vector<double>& rows = field.planes[j].frame.heights_m;
    if (!anything_heard(samples[j])) {
      streams[j] = away_from(expected(samples[j].distance_m), rows);
      p.planes.push_back(plane_about(survey, streams[j], rows));
      p.planes.back().blank_m = rows;
      open_share.push_back(1.0);
      foreseen.push_back(j);
      p.caveats.push_back("at " + format_number(samples[j].distance_m) +
                          " m no reading rose above the probe's starting speed: the stream is "
                          "sought elsewhere; see that the fan runs and the probe faces it");
    } else {
      p.planes.push_back(plane_about(survey, streams[j], rows));
      open_share.push_back(share_of_open_view(survey, streams[j], rows.size()));
    }
    closed_share.push_back(1.0 - open_share.back());
  }
  for (const double d : survey.plan.distances_m) {
    const bool swept = std::any_of(samples.begin(), samples.end(), [&](const PlaneSamples& s) {
      return std::abs(s.distance_m - d) < 1e-3;
    });
    if (!swept) {
      foreseen.push_back(streams.size());
      streams.push_back(expected(d));
      p.planes.push_back(plane_about(survey, streams.back(), {}));
      for (const std::string& c : distance_caveats(survey, streams.back())) {
        p.caveats.push_back(c);
      }
      open_share.push_back(1.0);
      closed_share.push_back(0.0);
      p.reasons.push_back(
          "at " + format_number(d) + " m no sweep was made yet: foreseen from " +
          (heard.empty() ? "the outlet" : "the other distances, as a jet that keeps its momentum"));
    }
  }
  planes.resize(streams.size());
  add_candidates(p);
  std::vector<Outlook::View> views;
  const NoiseModel noise = samples.front().noise;
  views.push_back(ask(p,
                      field,
                      known,
                      closed_share,
                      {survey.probe.starting_speed_m_s,
                       samples.front().sweep_gain_sd,
                       1.0,
                       [noise](double speed) { return noise.sd_m_s(speed); }},
                      options.threads));
  if (*std::max_element(open_share.begin(), open_share.end()) > 0.0) {
    OpenStream open = open_stream(p, survey, streams, open_share, options.threads);
    for (const std::size_t j : foreseen) {
      planes[j] = foreseen_plane(survey, streams[j], open, j);
      if (!heard.empty()) {
        const std::size_t near = heard_plane[nearest(heard, streams[j].distance_m)];
        planes[j] = carried_plane(planes[j], planes[near], streams[j], streams[near]);
      }
    }
    views.push_back(std::move(open.view));
  }
  p.outlook = std::make_unique<Outlook>(std::move(planes), std::move(views));
  return p;
}

}  // namespace sweepflux
