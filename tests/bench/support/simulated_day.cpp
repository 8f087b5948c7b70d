#include "tests/bench/support/simulated_day.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/result/map_survey.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace sweepflux::bench {
namespace {

std::optional<PlaneScore> score_now(const Survey& survey, const Scene& scene) {
  MapOptions options;
  options.threads = 1;
  options.hold_out = false;
  options.next_sweep = false;
  try {
    for (PlaneScore& score : score_result(map_survey(survey, options), scene.field, scene.plan)) {
      if (std::abs(score.distance_m - scene.plan.distances_m.front()) < 1e-3) {
        return std::move(score);
      }
    }
  } catch (const NumericalError&) {
    // Too little to go by; the study counts it as an answer that was not given.
  }
  return std::nullopt;
}

std::vector<Stop> even_stops(const Survey& survey, const test::SurveyPlan& plan) {
  std::vector<Stop> stops;
  for (const double seen : test::even_angles_rad(plan)) {
    Stop stop;
    stop.position =
        survey.rig.motion == Motion::swivel ? -seen : plan.distances_m.front() * std::tan(seen);
    stop.settle_s = survey.rig.settle_time_s;
    stop.dwell_s = survey.rig.dwell_time_s;
    stops.push_back(stop);
  }
  return stops;
}

/// Takes the sweep; its minutes as the rig's times say, the change from the one before included.
double take(Survey& survey, test::KnownRig& rig, const WantedSweep& wanted) {
  std::vector<double> seen;
  std::vector<double> dwell;
  for (const Stop& stop : wanted.stops) {
    // The survey of a known field has its zero at 0 and counts counter-clockwise.
    seen.push_back(survey.rig.motion == Motion::swivel
                       ? -stop.position
                       : std::atan2(stop.position, wanted.distance_m));
    dwell.push_back(stop.dwell_s / survey.rig.dwell_time_s);
  }
  Change change = Change::none;
  if (!survey.sweeps.empty()) {
    const Sweep& before = survey.sweeps.back();
    if (std::abs(before.distance_m - wanted.distance_m) > 1e-3) {
      change = Change::distance;
    } else if (std::abs(before.height_m - wanted.height_m) > 1e-3) {
      change = Change::height;
    }
  }
  survey.sweeps.push_back(rig.sweep(wanted.distance_m, wanted.height_m, seen, dwell));
  return sweep_minutes(survey.rig, wanted.stops, change);
}

}  // namespace

Scene make_scene(const test::KnownField& field, const test::SurveyPlan& plan, double off_sd_m) {
  Scene scene{field, plan, field.outlet_height_m - 0.6, field.outlet_height_m + 0.6};
  test::Dice dice(plan.seed ^ 0x5ca1ab1eULL);
  const double off = dice.normal(off_sd_m);
  if (field.floor_m) {
    scene.height_low_m = *field.floor_m + 0.03;
    scene.height_high_m = *field.floor_m + 0.8;
    return scene;
  }
  scene.field.jet_speed_m_s = [speed = field.jet_speed_m_s, off](double x, double y, double z) {
    return speed(x, y, z - off);
  };
  scene.field.flow_centre_at_1_8.z_m += off;
  return scene;
}

std::vector<Stage> live_through(const Scene& scene,
                                const NamedStrategy& strategy,
                                const std::vector<int>& counts) {
  test::KnownRig rig(scene.field, scene.plan);
  test::Dice dice(scene.plan.seed ^ 0xd1ceULL);
  Survey survey = test::survey_without_sweeps(scene.field, scene.plan);
  survey.plan.distances_m = scene.plan.distances_m;
  survey.plan.expected_speed_m_s = test::known_field_peak_m_s;
  survey.plan.height_limits_m = std::pair{scene.height_low_m, scene.height_high_m};
  const double truth =
      scene.field.exact(scene.plan.distances_m.front()).momentum_over_density_m4_s2;
  Situation situation{&survey,
                      scene.height_low_m,
                      scene.height_high_m,
                      even_stops(survey, scene.plan),
                      counts.back(),
                      &dice};
  std::vector<Stage> stages;
  std::optional<double> predicted;
  double minutes = 0.0;
  for (const int count : counts) {
    while (static_cast<int>(survey.sweeps.size()) < count) {
      const std::optional<WantedSweep> wanted = strategy.next(situation);
      if (!wanted) {
        break;
      }
      minutes += take(survey, rig, *wanted);
      predicted = wanted->predicted_momentum_sd_n;
    }
    Stage stage;
    stage.sweeps = static_cast<int>(survey.sweeps.size());
    stage.height_m = survey.sweeps.empty() ? 0.0 : survey.sweeps.back().height_m;
    stage.minutes = minutes;
    stage.score = score_now(survey, scene);
    if (predicted) {
      stage.predicted_momentum_sd = *predicted / (1.2 * truth);
    }
    stages.push_back(std::move(stage));
  }
  return stages;
}

}  // namespace sweepflux::bench
