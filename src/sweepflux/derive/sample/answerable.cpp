#include "sweepflux/derive/sample/answerable.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/message_text.hpp"
#include "sweepflux/derive/sample/probe.hpp"

#include <algorithm>
#include <cmath>
#include <string>

namespace sweepflux {
namespace {

constexpr double same_place_m = 1e-4;  // finer is not set on a rig

/// Why the plane's readings say nothing of how wide the stream is; empty where they do.
std::string why_no_width(const Survey& survey, const PlaneSamples& plane) {
  if (plane.window.width_m() > same_place_m) {
    return "";
  }
  std::size_t readings = 0;
  for (const Sweep& sweep : survey.sweeps) {
    readings += std::abs(sweep.distance_m - plane.distance_m) < 1e-3 ? sweep.readings.size() : 0;
  }
  const bool swivel = survey.rig.motion == Motion::swivel;
  const std::string where = swivel ? "one angle" : "one place across the stream";
  return (readings == 1 ? "has one reading" : "was read at " + where + " only") +
         ": how wide the stream is cannot be determined from that; sweep several " +
         (swivel ? "angles" : "places") + " from one side of the stream to the other";
}

/// Why no reading of it can be mapped; empty where one can.
std::string why_silent(const PlaneSamples& plane) {
  const bool any = std::any_of(plane.samples.begin(), plane.samples.end(), [](const Sample& s) {
    return !s.censored && s.speed_m_s > 0.0;
  });
  return any ? ""
             : "has no reading above the probe's starting speed: there is nothing to map; use a "
               "probe that starts lower, or go nearer";
}

}  // namespace

std::vector<PlaneSamples> derive_answerable_samples(const Survey& survey,
                                                    Silent silent,
                                                    int threads) {
  std::vector<PlaneSamples> planes = derive_samples(survey, threads);
  for (const PlaneSamples& plane : planes) {
    std::string why = why_no_width(survey, plane);
    if (why.empty() && silent == Silent::refused) {
      why = why_silent(plane);
    }
    if (!why.empty()) {
      throw NumericalError("the plane at " + metres_text(plane.distance_m) + " " + why);
    }
  }
  return planes;
}

std::vector<double> swept_heights_m(const PlaneSamples& plane) {
  std::vector<double> heights;
  for (const PlacedSweep& s : plane.sweeps) {
    if (heights.empty() || s.height_m - heights.back() > 1e-6) {
      heights.push_back(s.height_m);
    }
  }
  return heights;
}

PlaneSamples plane_without_samples(const Survey& survey, double distance_m) {
  PlaneSamples plane;
  plane.distance_m = distance_m;
  plane.downstream_m = downstream_of_outlet_m(survey.rig, survey.outlet, distance_m);
  plane.outlet_centre = {0.0, survey.outlet.centre_height_m};
  plane.outlet_half_y_m = 0.5 * survey.outlet.extent_y_m();
  plane.outlet_half_z_m = 0.5 * survey.outlet.extent_z_m();
  plane.floor_m = survey.room.floor_m;
  plane.room_section_m2 = survey.room.section_m2();
  plane.starting_speed_m_s = survey.probe.starting_speed_m_s;
  plane.ambient_known = survey.air.ambient_speed_m_s.has_value();
  plane.common.scale = survey.probe.scale_uncertainty;
  plane.common.offset_m_s = survey.probe.offset_uncertainty_m_s;
  plane.common.distance_m = survey.rig.distance_uncertainty_m;
  plane.common.height_m = survey.rig.height_uncertainty_m;
  if (survey.rig.motion == Motion::swivel) {
    plane.common.angle_rad = survey.rig.angle_uncertainty_rad;
  }
  return plane;
}

}  // namespace sweepflux
