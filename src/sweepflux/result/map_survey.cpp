#include "sweepflux/result/map_survey.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/parallel.hpp"
#include "sweepflux/base/quantiles.hpp"
#include "sweepflux/base/statistics.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/sample/air.hpp"
#include "sweepflux/derive/thrust/thrust.hpp"
#include "sweepflux/integrate/draw_map.hpp"
#include "sweepflux/integrate/known_stream.hpp"
#include "sweepflux/judge/alternative_private.hpp"
#include "sweepflux/judge/budget_private.hpp"
#include "sweepflux/judge/caveats_private.hpp"
#include "sweepflux/judge/cross_check.hpp"
#include "sweepflux/judge/plausibility.hpp"
#include "sweepflux/plan/schedule.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace sweepflux {
namespace {

/// Of the leave-one-sweep-out predictions of a sound survey, at most so many call a sweep out.
constexpr double false_calls = 0.05;
constexpr double outlying_from = 4.0;  // standard deviations
constexpr std::size_t draws_for_outliers = 96;

std::string method_name(Method method) {
  switch (method) {
    case Method::automatic:
      return "one model of the stream, fitted to all readings at once; values are medians of draws "
             "from its posterior";
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

std::vector<double> column(const std::vector<Triple>& values, std::size_t k) {
  std::vector<double> out;
  for (const Triple& v : values) {
    out.push_back(v[k]);
  }
  return out;
}

double share_extrapolated(const PlaneDraws& draws, std::size_t k) {
  if (draws.seen.empty()) {
    return 1.0;
  }
  const double whole = median(column(draws.whole, k));
  return whole > 0.0 ? std::clamp(1.0 - median(column(draws.seen, k)) / whole, 0.0, 1.0) : 0.0;
}

void add_numbers(PlaneResult& r, const PlaneDraws& draws, const BudgetedPlane& budget) {
  r.volume_flow_m3_s = estimate_of(budget.flow_m3_s);
  r.momentum_flux_n = estimate_of(budget.momentum_flux_n);
  r.kinetic_power_w = estimate_of(budget.power_w);
  if (!budget.inside_flow_m3_s.empty()) {
    r.inside_flow_m3_s = estimate_of(budget.inside_flow_m3_s);
    r.inside_momentum_flux_n = estimate_of(budget.inside_momentum_flux_n);
  }
  r.budget = budget.rows;
  r.flow_extrapolated = share_extrapolated(draws, 0);
  r.momentum_extrapolated = share_extrapolated(draws, 1);
  r.peak_speed_m_s = median(draws.peak_speed_m_s);
  std::vector<double> y, z;
  for (const PlanePoint& c : draws.centre) {
    y.push_back(c.y_m);
    z.push_back(c.z_m);
  }
  r.centre = {median(y), median(z)};
  r.half_width_y_m = median(draws.half_width_y_m);
  r.half_width_z_m = median(draws.half_width_z_m);
}

/// Numbers of a whole plane that the readings do not support are taken back, budget and all, with
/// the reason.
void withhold(PlaneResult& r, const PlaneDraws& draws) {
  r.withheld = reason_to_withhold(r, draws);
  if (r.withheld.empty()) {
    return;
  }
  constexpr double none = std::numeric_limits<double>::quiet_NaN();
  r.volume_flow_m3_s = r.momentum_flux_n = r.kinetic_power_w = {none, none, none, none};
  r.budget.clear();
}

void add_hold_out(PlaneResult& r,
                  const StreamPosterior& posterior,
                  std::size_t plane,
                  std::size_t sweeps_in_all) {
  for (std::size_t s = 0; s < r.samples.sweeps.size(); ++s) {
    const StreamPosterior::LeftOut left = posterior.leave_out(plane, s);
    const PlacedSweep& sweep = r.samples.sweeps[s];
    if (left.z_score <= 0.0) {
      continue;
    }
    r.held_out.push_back(
        {sweep.name, sweep.height_m, left.rms_error_m_s, left.z_score, left.chance});
    if (left.chance < false_calls / static_cast<double>(sweeps_in_all) && left.z_score > 2.0) {
      r.warnings.push_back("the sweep " + sweep.name +
                           " departs from the others (predicted from them, it is " +
                           format_number(left.z_score, 2) +
                           " standard deviations off): check its height, or repeat it");
    }
  }
}

void add_outlying(PlaneResult& r, const StreamPosterior& posterior, std::size_t plane) {
  std::vector<PlanePoint> at;
  for (const Sample& s : r.samples.samples) {
    at.push_back(s.at);
  }
  const std::size_t every = std::max<std::size_t>(1, posterior.draws() / draws_for_outliers);
  std::vector<double> sum(at.size(), 0.0), squares(at.size(), 0.0);
  std::vector<float> u(at.size());
  double count = 0.0;
  for (std::size_t d = 0; d < posterior.draws(); d += every, count += 1.0) {
    posterior.speeds(d, plane, at, u);
    const StreamPosterior::Extras e = posterior.extras(d);
    for (std::size_t i = 0; i < at.size(); ++i) {
      const double v = static_cast<double>(u[i]) + e.drift_m_s + e.offset_m_s;
      sum[i] += v;
      squares[i] += v * v;
    }
  }
  for (std::size_t i = 0; i < at.size(); ++i) {
    const Sample& s = r.samples.samples[i];
    if (s.censored) {
      continue;
    }
    const double mean = sum[i] / count;
    const double variance = std::max(squares[i] / count - mean * mean, 0.0) +
                            s.noise_m_s * s.noise_m_s + std::pow(r.samples.sweep_gain_sd * mean, 2);
    const double z = (s.speed_m_s - mean) / std::sqrt(variance);
    if (std::abs(z) > outlying_from) {
      r.outlying.push_back(
          {r.samples.sweeps[static_cast<std::size_t>(s.sweep)].name, s.line, s.speed_m_s, mean, z});
    }
  }
}

void say_convergence(SurveyResult& out, const SamplerReport& report) {
  out.sampler = report;
  if (!report.converged) {
    out.warnings.push_back(
        "the draws have not settled (two independent halves differ by " +
        format_number(report.apart, 2) +
        " standard deviations): take the intervals as rough, and add sweeps before you rely on "
        "them");
  }
}

void map_automatic(SurveyResult& out, const MapOptions& options, const Progress& progress) {
  KnowOptions know;
  know.threads = options.threads;
  know.silent = Silent::refused;
  const KnownStream known = know_stream(out.survey, out.survey.plan.distances_m, know, progress);
  const CommonDraws common = common_draws(known.posterior.draws());
  const bool swivel = out.survey.rig.motion == Motion::swivel;
  std::vector<BudgetedPlane> budgets(known.planes.size());
  std::size_t sweeps = 0;
  for (const PlaneSamples& p : known.planes) {
    sweeps += p.sweeps.size();
  }
  std::vector<std::size_t> swept;
  for (std::size_t j = 0; j < known.planes.size(); ++j) {
    if (known.swept(j)) {
      swept.push_back(j);
    }
  }
  out.planes.resize(swept.size());
  parallel_for(swept.size(), options.threads, [&](std::size_t i) {
    const std::size_t j = swept[i];
    const PlaneSamples& samples = known.planes[j];
    PlaneResult& r = out.planes[i];
    r = begin_plane(samples);
    budgets[j] =
        make_budget(known.posterior, known.draws[j], common, samples, swivel, out.density_kg_m3);
    add_numbers(r, known.draws[j], budgets[j]);
    withhold(r, known.draws[j]);
    r.map = draw_map(known.posterior, j, samples, known.draws[j], options.grid_step_m, 1);
    r.warnings = plane_caveats(out.survey, samples, r, &known.posterior);
    if (options.hold_out) {
      add_hold_out(r, known.posterior, j, sweeps);
    }
    add_outlying(r, known.posterior, j);
  });
  say_convergence(out, known.sampler);
  const bool whole = std::all_of(out.planes.begin(), out.planes.end(), [](const PlaneResult& r) {
    return r.withheld.empty();
  });
  if (whole) {
    out.stream = summarise_stream(known, budgets, out.density_kg_m3.value);
  }
  // Where no stream is bracketed the warning says where to sweep.
  if (options.next_sweep && whole) {
    if (const auto next = next_sweep(out.survey, known)) {
      out.next_sweep =
          NextSweep{next->distance_m, next->height_m, next->momentum_uncertainty_after_n};
    }
  }
}

void map_alternative(SurveyResult& out,
                     const std::vector<PlaneSamples>& planes,
                     const MapOptions& options) {
  out.planes.resize(planes.size());
  parallel_for(planes.size(), options.threads, [&](std::size_t j) {
    AlternativePlane made = map_by(options.method, planes[j], options.grid_step_m);
    PlaneResult& r = out.planes[j];
    r = begin_plane(planes[j]);
    r.map = std::move(made.map);
    const StreamShape shape = measure_shape(r.map);
    r.map.support = support_of(r.map,
                               planes[j],
                               std::max(shape.half_width_y_m, r.map.step_m),
                               std::max(shape.half_width_z_m, r.map.step_m));
    const double rho = out.density_kg_m3.value;
    const double scale = planes[j].common.scale;
    const auto with_scale = [&](std::size_t k, double unit) {
      return symmetric_estimate(
          unit * made.value[k],
          unit *
              std::hypot(made.uncertainty[k], static_cast<double>(k + 1) * scale * made.value[k]));
    };
    r.volume_flow_m3_s = with_scale(0, 1.0);
    r.momentum_flux_n = with_scale(1, rho);
    r.kinetic_power_w = with_scale(2, rho);
    r.budget = {{"heights left out one at a time", made.uncertainty[0], rho * made.uncertainty[1]},
                {"probe scale", scale * made.value[0], 2.0 * scale * rho * made.value[1]}};
    r.flow_extrapolated = r.momentum_extrapolated = std::numeric_limits<double>::quiet_NaN();
    r.inside_flow_m3_s = r.volume_flow_m3_s;
    r.inside_momentum_flux_n = r.momentum_flux_n;
    r.peak_speed_m_s = shape.peak_speed_m_s;
    r.centre = shape.centre;
    r.half_width_y_m = shape.half_width_y_m;
    r.half_width_z_m = shape.half_width_z_m;
    r.warnings = plane_caveats(out.survey, planes[j], r, nullptr);
    r.notes.push_back(
        "this method states no uncertainty of a map: the map's is left at 0, and the "
        "integrals', of the window alone, comes from leaving one height out at a time");
    if (!made.uncertainty_known) {
      r.warnings.push_back(
          "the uncertainty cannot be estimated from fewer than three heights: it "
          "is set as large as the value");
    }
    if (made.negative_share > 0.0) {
      r.warnings.push_back("the method fell below zero on " + percent_text(made.negative_share) +
                           " of the window (down to " + format_number(made.negative_least_m_s, 2) +
                           " m/s); that was cut to zero before integrating");
    }
  });
}

void add_thrust(SurveyResult& out, bool head_corrected) {
  if (!out.survey.balance) {
    return;
  }
  const Thrust thrust = derive_thrust(*out.survey.balance);
  out.thrust_n = thrust.thrust_n;
  out.thrust_zero_drift_n = thrust.zero_drift_n;
  out.thrust_remarks = thrust.remarks;
  out.cross_check = cross_check(out.planes, thrust.thrust_n, out.survey, head_corrected);
  if (out.stream) {
    out.stream_check = check_momentum(out.stream->momentum_flux_n, thrust.thrust_n);
  }
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
  // Before any work: what cannot be is reported first.
  out.warnings = warn_of_implausible(find_implausible(survey), survey.file.string());
  out.survey = survey;
  out.method = method_name(options.method);
  out.density_kg_m3 = air_density_kg_m3(survey.air);
  if (options.method == Method::automatic) {
    map_automatic(out, options, progress);
  } else {
    map_alternative(
        out, derive_answerable_samples(survey, Silent::refused, options.threads), options);
  }
  for (PlaneResult& r : out.planes) {
    for (const std::string& remark : r.samples.remarks) {
      r.notes.push_back(remark);
    }
  }
  // The model allows for the probe's head, the other methods do not.
  const bool head_corrected = options.method == Method::automatic;
  add_thrust(out, head_corrected);
  return out;
}

}  // namespace sweepflux
