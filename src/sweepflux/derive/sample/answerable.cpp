#include "sweepflux/derive/sample/answerable.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/message_text.hpp"

#include <algorithm>
#include <cmath>
#include <string>

namespace sweepflux {
namespace {

constexpr double same_place_m = 1e-4;  // finer is not set on a rig

std::string named(double distance_m) { return "the plane at " + metres_text(distance_m) + " "; }

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

}  // namespace

std::vector<PlaneSamples> derive_answerable_samples(const Survey& survey,
                                                    Silent silent,
                                                    int threads) {
  std::vector<PlaneSamples> planes = derive_samples(survey, threads);
  for (const PlaneSamples& plane : planes) {
    const std::string no_width = why_no_width(survey, plane);
    if (!no_width.empty()) {
      throw NumericalError(named(plane.distance_m) + no_width);
    }
    if (silent == Silent::refused &&
        std::none_of(plane.samples.begin(), plane.samples.end(), [](const Sample& s) {
          return !s.censored && s.speed_m_s > 0.0;
        })) {
      throw NumericalError(named(plane.distance_m) +
                           "has no reading above the probe's starting speed: there is nothing to "
                           "map; use a probe that starts lower, or go nearer");
    }
  }
  return planes;
}

}  // namespace sweepflux
