#include "tests/bench/support/simulated_day.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/judge/map_survey.hpp"

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
                      test::even_angles_rad(scene.plan),
                      counts.back(),
                      &dice};
  std::vector<Stage> stages;
  std::optional<double> foretold;
  for (const int count : counts) {
    while (static_cast<int>(survey.sweeps.size()) < count) {
      const std::optional<WantedSweep> wanted = strategy.next(situation);
      if (!wanted) {
        break;
      }
      survey.sweeps.push_back(rig.sweep(wanted->distance_m, wanted->height_m, wanted->seen_rad));
      foretold = wanted->foretold_momentum_sd_n;
    }
    Stage stage;
    stage.sweeps = static_cast<int>(survey.sweeps.size());
    stage.minutes = minutes_of(survey);
    stage.score = score_now(survey, scene);
    if (foretold) {
      stage.foretold_momentum_sd = *foretold / (1.2 * truth);
    }
    stages.push_back(std::move(stage));
  }
  return stages;
}

double minutes_of(const Survey& survey) {
  const Rig& rig = survey.rig;
  double seconds = 0.0;
  for (std::size_t i = 0; i < survey.sweeps.size(); ++i) {
    const Sweep& sweep = survey.sweeps[i];
    if (i > 0) {
      const Sweep& before = survey.sweeps[i - 1];
      const bool moved = std::abs(sweep.distance_m - before.distance_m) > 1e-3;
      const bool raised = std::abs(sweep.height_m - before.height_m) > 1e-3;
      seconds += rig.return_time_s + (moved    ? rig.distance_change_time_s
                                      : raised ? rig.height_change_time_s
                                               : 0.0);
    }
    seconds += static_cast<double>(sweep.readings.size()) *
               (rig.step_time_s + rig.settle_time_s + rig.dwell_time_s);
  }
  return seconds / 60.0;
}

}  // namespace sweepflux::bench
