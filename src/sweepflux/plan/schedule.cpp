#include "sweepflux/plan/schedule.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/sample/air.hpp"
#include "sweepflux/plan/plan_words_private.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

constexpr std::size_t most_sweeps = 60;
constexpr std::size_t least_sweeps = 3;  // of one plane, below which nothing can be said
constexpr double closest = 0.15;         // half widths from a height that was swept
/// A wish is given up where the best sweep takes less than this share of the target's squared
/// variance, so 1 % of its uncertainty.
constexpr double least_fall = 0.04;

void check(const Survey& survey, const PlanOptions& o) {
  if (o.budget_s && !(*o.budget_s > 0.0)) {
    throw InputError("the time budget must be more than nothing, as \"3 h\" or \"40 min\"");
  }
  if (o.wished_share && !(*o.wished_share > 0.0 && *o.wished_share < 1.0)) {
    throw InputError("the target must lie between 0 and 100 %, as \"5 %\"");
  }
  if (survey.sweeps.empty() &&
      !(survey.outlet.extent_y_m() > 0.0 && survey.outlet.extent_z_m() > 0.0)) {
    throw InputError("[outlet] needs its diameter, or width and height for a slot, to plan from");
  }
}

/// After so many sweeps a plan before any data rehearses them: seldom, for it takes seconds.
bool rehearsed(std::size_t sweeps) {
  return sweeps == 1 || sweeps == 3 || sweeps == 6 || sweeps % 12 == 0;
}

/// Plan in the making.
class Walk {
 public:
  Walk(const Survey& survey, const KnownStream& known, const PlanOptions& options)
      : survey_(survey),
        known_(known),
        of_(options.of),
        threads_(options.threads),
        planes_(plan_planes(survey, known)),
        candidates_(possible_sweeps(survey, planes_)),
        prospect_(survey, known, planes_, candidates_, options.threads),
        start_(prospect_),
        density_kg_m3_(air_density_kg_m3(survey.air).value) {
    for (const PlanPlane& p : planes_) {
      taken_m_.push_back(p.swept_m);
    }
    for (std::size_t j = 0; j < known.planes.size(); ++j) {
      bracketed_ = bracketed_ && momentum_share_inside(known.draws[j]) >= bracketed_share;
    }
  }

  [[nodiscard]] const std::vector<PlanPlane>& planes() const { return planes_; }
  [[nodiscard]] double elapsed() const { return elapsed_; }
  [[nodiscard]] double minutes_saved() const { return saved_; }
  [[nodiscard]] double share() const { return share_of(prospect_); }
  [[nodiscard]] bool reached(double wished) const { return all_swept() && fine(wished); }
  [[nodiscard]] double fall(std::size_t candidate) const { return prospect_.fall(candidate, of_); }
  [[nodiscard]] double minutes(const CandidateSweep& c) const {
    return sweep_minutes(survey_.rig, c.stops, change(c));
  }
  [[nodiscard]] double minutes_of_middle() const {
    return minutes(candidates_[heights_a_plane / 2]);
  }

  /// Best candidate by what it takes away per minute; none when nothing is left. Once the wish is
  /// reached, only planes without a sweep are wanted.
  [[nodiscard]] std::optional<std::size_t> best(double minutes_left, double wished) const {
    const bool only_unswept = fine(wished);
    std::optional<std::size_t> best;
    double best_rate = 0.0;
    for (std::size_t i = 0; i < candidates_.size(); ++i) {
      const CandidateSweep& c = candidates_[i];
      const double time = minutes(c);
      if (taken(c) || time > minutes_left || (only_unswept && !taken_m_[c.plane].empty())) {
        continue;
      }
      const double rate = fall(i) / time;
      if (rate > best_rate * (1.0 + 1e-9)) {
        best_rate = rate;
        best = i;
      }
    }
    return best;
  }

  PlannedSweep take(std::size_t candidate, const Progress& progress) {
    const CandidateSweep& c = candidates_[candidate];
    const PlanPlane& plane = planes_[c.plane];
    PlannedSweep s;
    s.stops = c.stops;
    s.minutes = minutes(c);
    saved_ +=
        sweep_minutes(
            survey_.rig, even_stops(survey_, plane.stream.distance_m, expected(plane)), change(c)) -
        s.minutes;
    elapsed_ += s.minutes;
    last_plane_ = c.plane;
    taken_m_[c.plane].push_back(c.height_m);
    made_.push_back(c);
    if (survey_.sweeps.empty() && rehearsed(made_.size())) {
      prospect_ = Prospect(survey_,
                           rehearse(survey_, known_, planes_, made_, threads_, progress),
                           planes_,
                           candidates_,
                           threads_);
    } else {
      prospect_.sweep(candidate);
    }
    s.distance_m = plane.stream.distance_m;
    s.height_m = std::round(c.height_m * 100.0) / 100.0;
    s.elapsed_minutes = elapsed_;
    s.flow_share_after = prospect_.share(c.plane, 0);
    s.momentum_share_after = prospect_.share(c.plane, 1);
    s.flow_uncertainty_after_m3_s = plane.value[0] * s.flow_share_after;
    s.momentum_uncertainty_after_n = density_kg_m3_ * plane.value[1] * s.momentum_share_after;
    s.target_share_after = share();
    return s;
  }

  /// What evenly spaced heights would give, one set a count, at the same minutes as `sweeps`.
  [[nodiscard]] std::vector<PlanPoint> even(const std::vector<PlannedSweep>& sweeps) const {
    std::vector<PlanPoint> out;
    for (std::size_t n = 1; n * planes_.size() <= sweeps.size(); ++n) {
      Prospect prospect = start_;
      for (std::size_t j = 0; j < planes_.size(); ++j) {
        for (std::size_t i = 0; i < n; ++i) {
          const double at = (static_cast<double>(i) + 0.5) / static_cast<double>(n);
          prospect.sweep(j * heights_a_plane + static_cast<std::size_t>(std::lround(
                                                   at * static_cast<double>(heights_a_plane - 1))));
        }
      }
      out.push_back({sweeps[n * planes_.size() - 1].elapsed_minutes, share_of(prospect)});
    }
    return out;
  }

  /// What holds the least certain plane.
  [[nodiscard]] std::string holds() const {
    const std::size_t plane = least_certain(prospect_);
    return what_holds(planes_[plane], prospect_, plane, of_);
  }
  [[nodiscard]] double share_of_drift() const {
    return prospect_.share_of_drift(least_certain(prospect_), shown());
  }

 private:
  /// A stream that the readings do not bracket needs a sweep, however narrow its intervals are.
  [[nodiscard]] bool fine(double wished) const {
    return share() <= wished && (bracketed_ || !made_.empty());
  }

  [[nodiscard]] std::size_t shown() const { return of_ == PlanTarget::flow ? 0 : 1; }
  [[nodiscard]] std::size_t least_certain(const Prospect& prospect) const {
    std::size_t worst = 0;
    for (std::size_t j = 1; j < planes_.size(); ++j) {
      worst = prospect.share(j, shown()) > prospect.share(worst, shown()) ? j : worst;
    }
    return worst;
  }
  [[nodiscard]] double share_of(const Prospect& prospect) const {
    return prospect.share(least_certain(prospect), shown());
  }
  [[nodiscard]] bool all_swept() const {
    return std::none_of(
        taken_m_.begin(), taken_m_.end(), [](const auto& heights) { return heights.empty(); });
  }
  [[nodiscard]] Change change(const CandidateSweep& c) const {
    return last_plane_.value_or(c.plane) == c.plane ? Change::height : Change::distance;
  }
  [[nodiscard]] bool taken(const CandidateSweep& c) const {
    const double apart = closest * planes_[c.plane].stream.half_width_z_m;
    return std::any_of(taken_m_[c.plane].begin(), taken_m_[c.plane].end(), [&](double h) {
      return std::abs(h - c.height_m) < apart;
    });
  }

  const Survey& survey_;
  const KnownStream& known_;
  PlanTarget of_;
  int threads_;
  std::vector<PlanPlane> planes_;
  std::vector<CandidateSweep> candidates_;
  Prospect prospect_, start_;
  double density_kg_m3_;
  std::vector<std::vector<double>> taken_m_;  // heights a plane, planned ones included
  std::vector<CandidateSweep> made_;
  std::optional<std::size_t> last_plane_;
  bool bracketed_ = true;
  double elapsed_ = 0.0, saved_ = 0.0;
};

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

std::string sweeps_text(std::size_t count) {
  return std::to_string(count) + (count == 1 ? " sweep" : " sweeps");
}

void explain(Schedule& s, const PlanOptions& o, const Walk& walk) {
  const std::string what = target_name(o.of);
  const std::string wish = percent_text(o.wished_share.value_or(0.0));
  if (s.stop) {
    s.why = "you can stop: " + what + " is known within " + interval_text(s.target_share_now) +
            " (95 %), which is the target";
  } else if (s.stalls) {
    s.why = what + " within " + wish + " is out of reach: " +
            (s.sweeps.empty() ? "no further sweep lowers its uncertainty, "
                              : "after " + sweeps_text(s.sweeps.size()) + " more it stalls at ") +
            interval_text(walk.share()) + " (95 %), held there by " + walk.holds() +
            ", or set a wider target";
  } else if (s.sweeps.empty()) {
    s.why = "no further height would lower the uncertainty";
  } else {
    const PlannedSweep& last = s.sweeps.back();
    s.why = sweeps_text(s.sweeps.size()) + ", " + minutes_text(last.elapsed_minutes) + ": " + what +
            " of the least certain plane from " + interval_text(s.target_share_now) + " to about " +
            interval_text(last.target_share_after) + " (95 %)";
    if (o.wished_share && !walk.reached(*o.wished_share / coverage)) {
      s.why += "; the target of " + wish + " is not reached in this " +
               (o.budget_s ? "time" : "number of sweeps");
    }
  }
}

}  // namespace

KnownStream know_for_plan(const Survey& survey,
                          const PlanOptions& options,
                          const Progress& progress) {
  check(survey, options);
  const bool guessing = survey.sweeps.empty();
  const std::vector<double> wished =
      guessing ? planned_distances(survey, options.budget_s).distances_m : survey.plan.distances_m;
  std::vector<StreamGuess> guesses;
  for (const double d : wished) {
    guesses.push_back(guess_stream(survey, d));
  }
  for (const Sweep& s : survey.sweeps) {
    guesses.push_back(guess_stream(survey, s.distance_m));
  }
  const StreamGuess& nearest = *std::min_element(
      guesses.begin(), guesses.end(), [](const StreamGuess& a, const StreamGuess& b) {
        return a.distance_m < b.distance_m;
      });
  for (const StreamGuess& g : guesses) {
    if (guessing && g.peak_m_s <= 1.5 * survey.probe.starting_speed_m_s) {
      throw NumericalError("at " + metres_text(g.distance_m) +
                           " the stream is expected to peak at " + format_number(g.peak_m_s, 2) +
                           " m/s, too near the probe's starting speed: go nearer, or use a probe "
                           "that starts lower");
    }
  }
  return know_stream(survey, wished, {options.threads, nearest.peak_m_s, Silent::allowed}, progress);
}

Schedule plan_sweeps(const Survey& survey,
                     const KnownStream& known,
                     const PlanOptions& options,
                     const Progress& progress) {
  check(survey, options);
  Walk walk(survey, known, options);
  Schedule s;
  s.before_any_data = survey.sweeps.empty();
  s.reasons = plan_reasons(survey, walk.planes(), options);
  s.caveats = plan_caveats(survey, walk.planes());
  s.target_share_now = walk.share();
  const double wished = options.wished_share.value_or(0.0) / coverage;
  s.stop = !s.before_any_data && walk.reached(wished);
  const std::size_t usual =
      s.before_any_data ? std::max(std::size_t{9}, 3 * walk.planes().size()) : 3;
  const std::size_t most = options.count > 0                          ? options.count
                           : options.budget_s || options.wished_share ? most_sweeps
                                                                      : usual;
  const double budget = options.budget_s ? *options.budget_s / 60.0 : 1e300;
  while (!walk.reached(wished) && s.sweeps.size() < most) {
    if (progress.stop_wanted && progress.stop_wanted()) {
      throw Interrupted("stopped; nothing was written");
    }
    const auto best = walk.best(budget - walk.elapsed(), wished);
    s.stalls = wished > 0.0 && walk.share() > wished &&
               (best ? walk.fall(*best) < least_fall : !options.budget_s);
    if (!best || s.stalls) {
      break;
    }
    s.sweeps.push_back(walk.take(*best, progress));
    s.sweeps.back().order = s.sweeps.size();
    s.planned.push_back({walk.elapsed(), s.sweeps.back().target_share_after});
  }
  if (s.before_any_data && options.budget_s && !s.stalls && !walk.reached(wished) &&
      s.sweeps.size() < std::min(least_sweeps, most)) {
    const double a_sweep = walk.minutes_of_middle();
    throw NumericalError("the time is too short: one sweep takes about " + minutes_text(a_sweep) +
                         " on this rig, and fewer than three sweeps leave the stream's height "
                         "unknown; allow " +
                         minutes_text(3.0 * a_sweep) + ", or shorten dwell and settling");
  }
  if (!s.before_any_data) {
    s.even = walk.even(s.sweeps);
  }
  s.knee = find_knee(s.planned);
  s.minutes_saved_by_stops = walk.minutes_saved();
  if (!survey.air.ambient_speed_m_s && !s.stop) {
    s.caveats.push_back(
        "the ambient air speed was not measured. Measure it with the fan off, and state it as "
        "ambient_speed under [air]: of the uncertainty of the " +
        std::string(options.of == PlanTarget::flow ? "flow" : "momentum flux") +
        " after these sweeps, " + interval_text(walk.share_of_drift()) +
        " (95 %) are the drift that the room may have");
  }
  explain(s, options, walk);
  return s;
}

Schedule plan_sweeps(const Survey& survey, const PlanOptions& options, const Progress& progress) {
  return plan_sweeps(survey, know_for_plan(survey, options, progress), options, progress);
}

std::optional<PlannedSweep> next_sweep(const Survey& survey, const KnownStream& known) {
  PlanOptions options;
  options.count = 1;
  Schedule s = plan_sweeps(survey, known, options);
  if (s.sweeps.empty()) {
    return std::nullopt;
  }
  return s.sweeps.front();
}

}  // namespace sweepflux
