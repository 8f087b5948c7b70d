#include "sweepflux/plan/schedule.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/judge/budget_private.hpp"
#include "sweepflux/plan/views_private.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

constexpr double coverage = 1.96;  // "within 5 %" is the half of a 95 % interval
constexpr std::size_t most_sweeps = 60;
constexpr std::size_t least_worth = 3;  // sweeps of one plane below which nothing can be said

std::string minutes_text(double minutes) {
  return format_number(std::ceil(minutes), 4) + " minutes";
}

void check(const Survey& survey, const PlanOptions& o) {
  if (o.budget_s && !(*o.budget_s > 0.0)) {
    throw InputError("the time budget must be more than nothing, as \"3 h\" or \"40 min\"");
  }
  if (o.wished_share && !(*o.wished_share > 0.0 && *o.wished_share < 1.0)) {
    throw InputError("the target must lie between 0 and 100 %, as \"5 %\"");
  }
  if (!(survey.outlet.extent_y_m() > 0.0 && survey.outlet.extent_z_m() > 0.0)) {
    throw InputError("[outlet] needs its diameter, or width and height for a slot, to plan from");
  }
}

/// Plan in the making: what was taken, how long it took.
struct Walk {
  const Survey& survey;
  Prospect& prospect;
  std::vector<std::vector<double>> taken;  ///< heights a plane, planned ones included
  std::size_t last_plane = 0;
  bool any = false;
  double elapsed = 0.0;
  double saved = 0.0;

  std::vector<Stop> stops(const CandidateSweep& c) const {
    const Prospect::Plane& p = prospect.planes[c.plane];
    return lay_out_stops(survey, p.distance_m, c.height_m, p.stream);
  }
  Change change(const CandidateSweep& c) const {
    if (!any) {
      return Change::height;
    }
    return c.plane == last_plane ? Change::height : Change::distance;
  }
  double minutes(const CandidateSweep& c) const {
    return sweep_minutes(survey.rig, stops(c), change(c));
  }
  bool too_close(const CandidateSweep& c) const {
    const Prospect::Plane& plane = prospect.planes[c.plane];
    const auto within = [&](const std::vector<double>& heights, double apart) {
      return std::any_of(heights.begin(), heights.end(), [&](double h) {
        return std::abs(h - c.height_m) < apart * plane.stream.half_width_z_m;
      });
    };
    return within(taken[c.plane], 0.15) || within(plane.blank_m, 1.0);
  }
};

/// Best candidate by what it takes away per minute; none when nothing is left.
std::optional<std::size_t> best_candidate(const Walk& walk, PlanTarget of, double minutes_left) {
  std::optional<std::size_t> best;
  double best_rate = 0.0;
  for (std::size_t i = 0; i < walk.prospect.candidates.size(); ++i) {
    const CandidateSweep& c = walk.prospect.candidates[i];
    if (walk.too_close(c)) {
      continue;
    }
    const double minutes = walk.minutes(c);
    if (minutes > minutes_left) {
      continue;
    }
    const double rate = walk.prospect.outlook->gain(i, of) / minutes;
    if (rate > best_rate * (1.0 + 1e-9)) {
      best_rate = rate;
      best = i;
    }
  }
  return best;
}

PlannedSweep take(Walk& walk, std::size_t candidate, PlanTarget of) {
  const CandidateSweep c = walk.prospect.candidates[candidate];
  const Prospect::Plane& plane = walk.prospect.planes[c.plane];
  PlannedSweep s;
  s.stops = walk.stops(c);
  s.minutes = walk.minutes(c);
  walk.saved += sweep_minutes(walk.survey.rig,
                              even_stops(walk.survey, plane.distance_m, plane.stream),
                              walk.change(c)) -
                s.minutes;
  walk.elapsed += s.minutes;
  walk.any = true;
  walk.last_plane = c.plane;
  walk.taken[c.plane].push_back(c.height_m);
  walk.prospect.outlook->make(candidate);
  s.distance_m = plane.distance_m;
  s.height_m = std::round(c.height_m * 100.0) / 100.0;
  s.elapsed_minutes = walk.elapsed;
  s.momentum_uncertainty_after_n =
      walk.prospect.density_kg_m3 * walk.prospect.outlook->sd(c.plane, 1);
  s.flow_uncertainty_after_m3_s = walk.prospect.outlook->sd(c.plane, 0);
  s.target_share_after = walk.prospect.outlook->worst_share(of);
  return s;
}

/// What evenly spaced heights would give, one set a count, at the same minutes a sweep.
std::vector<PlanPoint> even_heights(const Prospect& prospect,
                                    const Outlook& start,
                                    const std::vector<PlannedSweep>& sweeps,
                                    PlanTarget of) {
  std::vector<PlanPoint> out;
  const std::size_t planes = prospect.planes.size();
  const std::size_t per_plane = prospect.candidates.size() / planes;
  for (std::size_t n = 1; n * planes <= sweeps.size(); ++n) {
    Outlook outlook = start;
    for (std::size_t j = 0; j < planes; ++j) {
      for (std::size_t i = 0; i < n; ++i) {
        const double at = (static_cast<double>(i) + 0.5) / static_cast<double>(n);
        const auto index =
            static_cast<std::size_t>(std::lround(at * static_cast<double>(per_plane - 1)));
        outlook.make(j * per_plane + index);
      }
    }
    out.push_back({sweeps[n * planes - 1].elapsed_minutes, outlook.worst_share(of)});
  }
  return out;
}

/// The point farthest below the chord from first to last, in minutes and ln(share).
std::size_t find_knee(const std::vector<PlanPoint>& points) {
  if (points.size() < 3) {
    return points.empty() ? 0 : points.size() - 1;
  }
  const PlanPoint a = points.front(), b = points.back();
  std::size_t best = 0;
  double deepest = 0.0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const double t = (points[i].minutes - a.minutes) / (b.minutes - a.minutes);
    const double chord =
        std::log(a.target_share) + t * (std::log(b.target_share) - std::log(a.target_share));
    const double depth = chord - std::log(points[i].target_share);
    if (depth > deepest) {
      deepest = depth;
      best = i;
    }
  }
  return best;
}

std::string target_name(PlanTarget of) {
  switch (of) {
    case PlanTarget::momentum:
      return "momentum";
    case PlanTarget::flow:
      return "flow";
    case PlanTarget::map:
      return "the map (momentum shown)";
  }
  return "";
}

void explain(Schedule& s, const PlanOptions& o, const Prospect& p, double wished) {
  const std::string what = target_name(o.of);
  if (s.stop) {
    s.why = "you can stop: " + what + " is known within " +
            percent_text(coverage * s.target_share_now) + " (95 %), which is the wish";
    return;
  }
  if (s.sweeps.empty()) {
    s.why = "no further height would tell more than it costs";
    return;
  }
  const PlannedSweep& last = s.sweeps.back();
  s.why = std::to_string(s.sweeps.size()) + (s.sweeps.size() == 1 ? " sweep" : " sweeps") + ", " +
          minutes_text(last.elapsed_minutes) + ": " + what + " of the least certain plane " +
          "from " + percent_text(coverage * s.target_share_now) + " to about " +
          percent_text(coverage * last.target_share_after) + " (95 %)";
  if (wished > 0.0 && last.target_share_after > wished) {
    s.why += "; the wished " + percent_text(coverage * wished) + " is not reached in this time";
  }
  if (p.planes.size() > 1) {
    s.reasons.push_back(
        "heights differ from distance to distance: the planes share one stream, "
        "and the same heights again would tell next to nothing");
  }
}

/// Of what an unread drift would be worth as an offset of every reading, once a stream is fitted:
/// found on the demo's slow streams, no published source.
constexpr double drift_that_stays = 0.5;

std::string unread_air_caveat(const Prospect& prospect, PlanTarget of) {
  const bool flow = of == PlanTarget::flow;
  double weakest_m_s = prospect.planes.front().peak_m_s;
  for (const Prospect::Plane& p : prospect.planes) {
    weakest_m_s = std::min(weakest_m_s, p.peak_m_s);
  }
  const double drift = drift_that_stays * std::sqrt(drift_probability) * drift_of_room_m_s;
  const double share = share_of_offset(flow, drift, weakest_m_s);
  return "the air was not read with the fan off. Read it, and state it as ambient_speed under "
         "[air]: a drift that nobody read may be worth about " +
         percent_text(coverage * share) + " of the " + (flow ? "flow" : "momentum") +
         " (95 %), which no sweep takes away and the numbers here leave out";
}

}  // namespace

Schedule plan_sweeps(const Survey& survey, const PlanOptions& options, const Progress& progress) {
  check(survey, options);
  Schedule s;
  s.before_any_data = survey.sweeps.empty();
  Prospect prospect = s.before_any_data ? prospect_from_guess(survey, options)
                                        : prospect_from_sweeps(survey, options, progress);
  s.reasons = prospect.reasons;
  s.caveats = prospect.caveats;
  if (!survey.air.ambient_speed_m_s) {
    s.caveats.push_back(unread_air_caveat(prospect, options.of));
  }
  const Outlook start = *prospect.outlook;
  s.target_share_now = start.worst_share(options.of);
  const double wished = options.wished_share.value_or(0.0) / coverage;
  if (wished > 0.0 && start.floor_share(options.of) > wished) {
    throw NumericalError(
        target_name(options.of) + " within " + percent_text(*options.wished_share) +
        " is out of reach: the errors that all readings share (probe scale and offset, distance) "
        "alone are worth " +
        percent_text(coverage * start.floor_share(options.of)) +
        "; have the probe calibrated, or wish for less");
  }
  if (wished > 0.0 && !s.before_any_data && s.target_share_now <= wished) {
    s.stop = true;
    explain(s, options, prospect, wished);
    return s;
  }
  Walk walk{survey, prospect, {}, 0, false, 0.0, 0.0};
  for (const Prospect::Plane& p : prospect.planes) {
    walk.taken.push_back(p.taken_m);
  }
  const std::size_t usual =
      s.before_any_data ? std::max<std::size_t>(9, 3 * prospect.planes.size()) : 3;
  const std::size_t most = options.count > 0                          ? options.count
                           : options.budget_s || options.wished_share ? most_sweeps
                                                                      : usual;
  const double budget = options.budget_s ? *options.budget_s / 60.0 : 1e300;
  while (s.sweeps.size() < most) {
    if (progress.stop_wanted && progress.stop_wanted()) {
      throw Interrupted("stopped; nothing was written");
    }
    const auto best = best_candidate(walk, options.of, budget - walk.elapsed);
    if (!best) {
      break;
    }
    s.sweeps.push_back(take(walk, *best, options.of));
    s.sweeps.back().order = s.sweeps.size();
    s.planned.push_back({walk.elapsed, s.sweeps.back().target_share_after});
    if (wished > 0.0 && s.sweeps.back().target_share_after <= wished) {
      break;
    }
  }
  if (s.before_any_data && options.budget_s && s.sweeps.size() < least_worth) {
    const CandidateSweep middle = prospect.candidates[prospect.candidates.size() / 2];
    throw NumericalError(
        "the time is too short: one sweep takes about " +
        minutes_text(sweep_minutes(survey.rig, walk.stops(middle), Change::height)) +
        " on this rig, and fewer than three sweeps leave the stream's height unknown; allow " +
        minutes_text(3.0 * sweep_minutes(survey.rig, walk.stops(middle), Change::height)) +
        ", or shorten dwell and settling");
  }
  s.even = even_heights(prospect, start, s.sweeps, options.of);
  s.knee = find_knee(s.planned);
  s.minutes_saved_by_stops = walk.saved;
  explain(s, options, prospect, wished);
  return s;
}

}  // namespace sweepflux
