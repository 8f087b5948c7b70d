#include "sweepflux/map/map_survey.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/parallel.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/sample/air.hpp"
#include "sweepflux/derive/sample/fewer_samples.hpp"
#include "sweepflux/derive/sample/samples.hpp"
#include "sweepflux/derive/thrust/thrust.hpp"
#include "sweepflux/field/stream/reconstruct_private.hpp"
#include "sweepflux/integrate/draw_map_private.hpp"
#include "sweepflux/integrate/shape.hpp"
#include "sweepflux/integrate/sweep_value_private.hpp"
#include "sweepflux/judge/alternative_private.hpp"
#include "sweepflux/judge/budget_private.hpp"
#include "sweepflux/judge/caveats_private.hpp"
#include "sweepflux/judge/cross_check.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

constexpr int candidate_heights = 31;
constexpr int places_a_candidate = 9;
constexpr double reach_y = 2.2;  // half widths to either side that these places span

std::string method_name(Method method) {
  switch (method) {
    case Method::automatic:
      return "candidate shapes with a residual process, weighed by evidence";
    case Method::kriging:
      return "ordinary kriging";
    case Method::linear:
      return "linear on a Delaunay triangulation";
    case Method::thin_plate:
      return "thin-plate spline";
    case Method::inverse_distance:
      return "inverse distance, power 2";
  }
  return "";
}

/// Counts and places that do not depend on the method.
PlaneResult begin_plane(const PlaneSamples& samples) {
  PlaneResult r;
  r.distance_m = samples.distance_m;
  r.downstream_m = samples.downstream_m;
  r.sweeps = samples.sweeps.size();
  r.readings = samples.samples.size();
  for (const PlacedSweep& s : samples.sweeps) {
    r.left_out += s.left_out;
  }
  for (const Sample& s : samples.samples) {
    r.censored += s.censored ? 1u : 0u;
  }
  r.samples = samples;
  return r;
}

void add_numbers(PlaneResult& r,
                 const PlaneFlux& flux,
                 const Nodes& nodes,
                 const PlaneSamples& samples,
                 const Survey& survey,
                 const Measured& density) {
  const Triple head = head_correction(nodes, flux.mean, survey.probe.head_diameter_m);
  const BudgetedFlux b =
      make_budget(flux, head, samples, survey.rig.motion == Motion::swivel, density);
  r.volume_flow_m3_s = b.volume_flow_m3_s;
  r.momentum_flux_n = b.momentum_flux_n;
  r.kinetic_power_w = b.kinetic_power_w;
  r.budget = b.rows;
  r.flow_beyond_readings = flux.beyond[0];
  r.momentum_beyond_readings = flux.beyond[1];
}

void add_shape(PlaneResult& r, const StreamShape& shape) {
  r.peak_speed_m_s = shape.peak_speed_m_s;
  r.centre = shape.centre;
  r.half_width_y_m = shape.half_width_y_m;
  r.half_width_z_m = shape.half_width_z_m;
}

void add_hold_out(PlaneResult& r, const PlaneField& field, const PlaneSamples& samples) {
  for (const auto& s : field.left_out_sweeps) {
    const PlacedSweep& sweep = samples.sweeps[static_cast<std::size_t>(s.sweep)];
    r.held_out.push_back({sweep.name, sweep.height_m, s.rms_error, s.z});
    if (s.z > 1.8) {
      r.warnings.push_back("the sweep " + sweep.name +
                           " does not go with the others (left out and foretold from them, it is " +
                           format_number(s.z, 2) +
                           " standard deviations off): check its height, or repeat it");
    }
  }
  for (const auto& o : field.outlying) {
    const Sample& s = samples.samples[static_cast<std::size_t>(o.sample)];
    r.outlying.push_back({samples.sweeps[static_cast<std::size_t>(s.sweep)].name,
                          s.line,
                          s.speed_m_s,
                          o.expected,
                          o.z});
  }
}

void add_notes(PlaneResult& r, const PlaneField& field, bool several) {
  std::string shapes;
  for (const WeightedPart& part : field.parts) {
    if (part.weight >= 0.02) {
      shapes += (shapes.empty() ? "" : ", ") + part.name + " " +
                format_number(std::round(100.0 * part.weight), 3) + " %";
    }
  }
  r.notes.push_back("shapes weighed: " + shapes);
  if (several) {
    if (field.pooled_weight > 0.9) {
      r.notes.push_back("the planes share one shape, and inform each other");
    } else if (field.pooled_weight > 0.1) {
      r.notes.push_back(
          "it is not clear whether the planes share one shape: planes together weigh " +
          format_number(std::round(100.0 * field.pooled_weight), 3) +
          " %, each by itself the rest");
    } else {
      r.notes.push_back("the planes do not share one shape (log odds " +
                        format_number(field.log_odds_pooled, 2) + "): each stands by itself");
    }
  }
}

/// Heights that a sweep could take: the measured window and one row gap beyond, above the floor.
std::vector<double> possible_heights(const PlaneField& field) {
  const auto& rows = field.frame.heights_m;
  const double gap = std::max(field.frame.row_gap_m, field.half_width_z_m);
  double low = rows.front() - gap, high = rows.back() + gap;
  low = std::max(low, field.frame.has_floor ? field.frame.floor_m + 0.02 : 0.02);
  std::vector<double> out;
  for (int i = 0; i < candidate_heights; ++i) {
    out.push_back(low + (high - low) * i / (candidate_heights - 1));
  }
  return out;
}

struct PlaneWork {
  Nodes nodes;
  PlaneFlux flux;
};

/// The sweep that would make the least certain plane's momentum most certain.
std::optional<NextSweep> best_next(const SurveyField& field,
                                   const std::vector<PlaneWork>& work,
                                   const std::vector<PlaneSamples>& samples,
                                   const std::vector<PlaneResult>& results,
                                   double density,
                                   int threads) {
  std::size_t worst = 0;
  double worst_share = -1.0;
  for (std::size_t j = 0; j < results.size(); ++j) {
    const double share = work[j].flux.total[1] / std::max(work[j].flux.value[1], 1e-300);
    if (share > worst_share) {
      worst_share = share;
      worst = j;
    }
  }
  const PlaneField& plane = field.planes[worst];
  const Window w = measured_window(plane.frame);
  const double centre_y = std::clamp(results[worst].centre.y_m, w.y_min_m, w.y_max_m);
  std::vector<WantedSweep> wanted;
  std::vector<double> heights;
  for (const double h : possible_heights(plane)) {
    const auto& rows = plane.frame.heights_m;
    const bool taken = std::any_of(rows.begin(), rows.end(), [&](double r) {
      return std::abs(r - h) < 0.15 * plane.half_width_z_m;
    });
    if (taken) {
      continue;
    }
    WantedSweep s;
    s.plane = worst;
    s.y = Array::LinSpaced(places_a_candidate,
                           std::max(w.y_min_m, centre_y - reach_y * plane.half_width_y_m),
                           std::min(w.y_max_m, centre_y + reach_y * plane.half_width_y_m));
    s.z = Array::Constant(places_a_candidate, h);
    wanted.push_back(s);
    heights.push_back(h);
  }
  if (wanted.empty()) {
    return std::nullopt;
  }
  const NoiseModel& noise = samples[worst].noise;
  // A sweep has more readings than the places that stand for it here.
  const double per_sweep = static_cast<double>(samples[worst].samples.size()) /
                           static_cast<double>(samples[worst].sweeps.size());
  const ReadingModel readings{samples[worst].starting_speed_m_s,
                              samples[worst].sweep_gain_sd,
                              std::max(1.0, per_sweep / places_a_candidate),
                              [&](double speed) { return noise.sd_m_s(speed); }};
  const SweepPosterior posterior =
      foretell(plane, worst, work[worst].nodes, work[worst].flux, wanted, threads);
  std::size_t best = 0;
  double most = 0.0;
  for (std::size_t s = 0; s < wanted.size(); ++s) {
    const double taken = variance_taken(posterior, hear(posterior, s, readings), 1);
    if (taken > most) {
      most = taken;
      best = s;
    }
  }
  if (most <= 0.0) {
    return std::nullopt;
  }
  // Only the field's own doubt shrinks; the errors common to all readings stay.
  const PlaneFlux& f = work[worst].flux;
  const double own = density * std::hypot(f.within[1], f.between[1]);
  const double all = results[worst].momentum_flux_n.standard_uncertainty;
  NextSweep next;
  next.distance_m = samples[worst].distance_m;
  next.height_m = heights[best];
  next.momentum_uncertainty_after_n =
      std::sqrt(std::max(0.0, all * all - std::min(1.0, most / posterior.variance[1]) * own * own));
  return next;
}

void map_automatic(SurveyResult& out,
                   const std::vector<PlaneSamples>& all_samples,
                   const MapOptions& options,
                   const Progress& progress) {
  ReconstructOptions reconstruct_options;
  reconstruct_options.threads = options.threads;
  const std::vector<PlaneSamples> planes = fewer_samples(all_samples);
  const SurveyField field = reconstruct(planes, reconstruct_options, progress);
  std::vector<PlaneWork> work(planes.size());
  std::vector<PlaneToIntegrate> to_integrate;
  for (std::size_t j = 0; j < planes.size(); ++j) {
    work[j].nodes = make_nodes(field.planes[j]);
    to_integrate.push_back({&field.planes[j], &work[j].nodes, planes[j].starting_speed_m_s});
  }
  std::vector<PlaneFlux> fluxes = integrate_planes(to_integrate, options.threads);
  out.planes.resize(planes.size());
  parallel_for(planes.size(), options.threads, [&](std::size_t j) {
    const PlaneField& f = field.planes[j];
    PlaneWork& w = work[j];
    w.flux = std::move(fluxes[j]);
    PlaneResult& r = out.planes[j];
    r = begin_plane(all_samples[j]);
    if (planes[j].samples.size() < r.readings) {
      r.notes.push_back(std::to_string(r.readings) +
                        " readings were averaged along their sweeps to " +
                        std::to_string(planes[j].samples.size()) + " for the fit");
    }
    r.map = draw_map(f, w.nodes, w.flux, planes[j], options.grid_step_m);
    const StreamShape shape = measure_shape(r.map);
    add_numbers(r, w.flux, w.nodes, planes[j], out.survey, out.density_kg_m3);
    add_shape(r, shape);
    r.warnings = plane_caveats(out.survey, planes[j], f, w.flux, shape);
    if (options.hold_out) {
      add_hold_out(r, f, planes[j]);
    }
    add_notes(r, f, planes.size() > 1);
  });
  if (options.next_sweep) {
    out.next_sweep =
        best_next(field, work, planes, out.planes, out.density_kg_m3.value, options.threads);
  }
}

void map_alternative(SurveyResult& out,
                     const std::vector<PlaneSamples>& planes,
                     const MapOptions& options) {
  out.planes.resize(planes.size());
  parallel_for(planes.size(), options.threads, [&](std::size_t j) {
    AlternativeField alternative = map_by(options.method, planes[j]);
    PlaneResult& r = out.planes[j];
    r = begin_plane(planes[j]);
    const double step =
        options.grid_step_m > 0.0 ? options.grid_step_m : planes[j].window.width_m() / 100.0;
    r.map = empty_map(measured_window(alternative.frame.frame), step);
    std::vector<PlanePoint> at;
    for (std::size_t k = 0; k < r.map.nz; ++k) {
      for (std::size_t i = 0; i < r.map.ny; ++i) {
        at.push_back({r.map.y_m(i), r.map.z_m(k)});
      }
    }
    r.map.speed_m_s = speeds_by(options.method, planes[j], at);
    r.map.uncertainty_m_s.assign(at.size(), 0.0);
    for (double& u : r.map.speed_m_s) {
      u = std::isfinite(u) ? std::max(u, 0.0) : 0.0;
    }
    const StreamShape shape = measure_shape(r.map);
    r.map.support = support_of(r.map,
                               planes[j],
                               std::max(shape.half_width_y_m, step),
                               std::max(shape.half_width_z_m, step));
    add_numbers(r, alternative.flux, alternative.nodes, planes[j], out.survey, out.density_kg_m3);
    add_shape(r, shape);
    r.warnings = plane_caveats(out.survey, planes[j], alternative.frame, alternative.flux, shape);
    r.notes.push_back(
        "this method states no uncertainty of a map: the map's is left at 0, and the "
        "integrals' comes from leaving one height out at a time");
    if (!alternative.doubt_known) {
      r.warnings.push_back(
          "the uncertainty cannot be estimated from fewer than three heights: it "
          "is set as large as the value");
    }
    if (alternative.negative_share > 0.0) {
      r.warnings.push_back("the method fell below nought on " +
                           format_number(100.0 * alternative.negative_share, 2) +
                           " % of the window (down to " +
                           format_number(alternative.negative_least_m_s, 2) +
                           " m/s); that was cut to nought before integrating");
    }
  });
}

void add_thrust(SurveyResult& out) {
  if (!out.survey.balance) {
    return;
  }
  const Thrust thrust = derive_thrust(*out.survey.balance);
  out.thrust_n = thrust.thrust_n;
  out.thrust_zero_drift_n = thrust.zero_drift_n;
  out.thrust_remarks = thrust.remarks;
  out.cross_check =
      cross_check(out.planes, thrust.thrust_n, out.survey, {.head_size_corrected = true});
}

}  // namespace

SurveyResult map_survey(const Survey& survey, const MapOptions& options, const Progress& progress) {
  if (!(options.grid_step_m >= 0.0)) {
    throw InputError("the grid step is " + format_number(options.grid_step_m) +
                     " m, must be > 0 (0: chosen for you)");
  }
  if (survey.sweeps.empty()) {
    throw InputError(survey.file.string() +
                     ": the survey names no sweeps; add [[sweep]] blocks, or "
                     "ask `sweepflux plan` which to make");
  }
  SurveyResult out;
  out.survey = survey;
  out.method = method_name(options.method);
  out.density_kg_m3 = air_density_kg_m3(survey.air);
  const std::vector<PlaneSamples> planes = derive_samples(survey, options.threads);
  for (const PlaneSamples& p : planes) {
    const bool any = std::any_of(p.samples.begin(), p.samples.end(), [](const Sample& s) {
      return !s.censored && s.speed_m_s > 0.0;
    });
    if (!any) {
      throw NumericalError("the plane at " + format_number(p.distance_m) +
                           " m has no reading above the probe's starting speed: there is nothing "
                           "to map; use a probe that starts lower, or go nearer");
    }
  }
  if (options.method == Method::automatic) {
    map_automatic(out, planes, options, progress);
  } else {
    map_alternative(out, planes, options);
  }
  for (PlaneResult& r : out.planes) {
    for (const std::string& remark : r.samples.remarks) {
      r.notes.push_back(remark);
    }
  }
  add_thrust(out);
  return out;
}

}  // namespace sweepflux
