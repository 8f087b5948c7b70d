#include "tests/support/make_survey.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace sweepflux::test {
namespace {

PlaneSamples plane_of(const Survey& survey, const SurveyPlan& plan, double distance_m) {
  PlaneSamples plane;
  plane.distance_m = distance_m;
  plane.downstream_m = distance_m;
  plane.outlet_centre = {0.0, survey.outlet.centre_height_m};
  plane.outlet_half_y_m = survey.outlet.extent_y_m() / 2;
  plane.outlet_half_z_m = survey.outlet.extent_z_m() / 2;
  plane.floor_m = survey.room.floor_m;
  plane.starting_speed_m_s = plan.starting_speed_m_s;
  plane.noise = {plan.noise_m_s, plan.noise_relative};
  plane.sweep_gain_sd = std::max(plan.sweep_gain, 0.01);
  plane.common.scale = plan.scale_uncertainty;
  plane.common.offset_m_s = plan.offset_uncertainty_m_s;
  constexpr double far = std::numeric_limits<double>::infinity();
  plane.window = {far, -far, far, -far};
  return plane;
}

/// Mean of a reading and its neighbours along the sweep; zeros below the starting speed included.
double smooth_speed_m_s(const std::vector<Reading>& readings, std::size_t i) {
  const std::size_t first = i > 0 ? i - 1 : 0;
  const std::size_t last = std::min(i + 1, readings.size() - 1);
  double sum = 0.0;
  for (std::size_t k = first; k <= last; ++k) {
    sum += readings[k].speed_m_s;
  }
  return sum / static_cast<double>(last - first + 1);
}

void add_sweep(PlaneSamples& plane, const Sweep& sweep, const SurveyPlan& plan) {
  PlacedSweep placed;
  placed.name = sweep.name;
  placed.file = sweep.file;
  placed.height_m = sweep.height_m;
  placed.readings = sweep.readings.size();
  for (std::size_t i = 0; i < sweep.readings.size(); ++i) {
    const Reading& reading = sweep.readings[i];
    Sample sample;
    sample.at = {reading.position, sweep.height_m};
    sample.censored = reading.speed_m_s < plan.starting_speed_m_s;
    sample.speed_m_s = sample.censored ? plan.starting_speed_m_s : reading.speed_m_s;
    sample.noise_m_s =
        std::hypot(plan.noise_m_s, plan.noise_relative * smooth_speed_m_s(sweep.readings, i));
    sample.sweep = static_cast<int>(plane.sweeps.size());
    sample.line = reading.line;
    plane.samples.push_back(sample);
    plane.window.y_min_m = std::min(plane.window.y_min_m, sample.at.y_m);
    plane.window.y_max_m = std::max(plane.window.y_max_m, sample.at.y_m);
    plane.window.z_min_m = std::min(plane.window.z_min_m, sample.at.z_m);
    plane.window.z_max_m = std::max(plane.window.z_max_m, sample.at.z_m);
  }
  plane.sweeps.push_back(placed);
}

}  // namespace

std::vector<PlaneSamples> make_plane_samples(const KnownField& field, const SurveyPlan& plan) {
  SurveyPlan straight = plan;
  straight.motion = Motion::traverse;
  const Survey survey = make_survey(field, straight);
  std::vector<PlaneSamples> planes;
  for (const double distance : straight.distances_m) {
    planes.push_back(plane_of(survey, straight, distance));
    for (const Sweep& sweep : survey.sweeps) {
      if (sweep.distance_m == distance) {
        add_sweep(planes.back(), sweep, straight);
      }
    }
  }
  return planes;
}

}  // namespace sweepflux::test
