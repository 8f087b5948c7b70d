#include "tool/plane_text.hpp"

#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/rank/survey_summary.hpp"

#include <cmath>

namespace sweepflux::tool {

std::string running_plane_text(const SurveyResult& result, double distance_m) {
  std::string text;
  for (const PlaneResult& plane : result.planes) {
    if (std::abs(plane.distance_m - distance_m) > 0.002) {
      continue;
    }
    text += "plane at " + metres_text(plane.distance_m) + " with " + std::to_string(plane.sweeps) +
            (plane.sweeps == 1 ? " sweep" : " sweeps") + " (" + uncertainty_words + "):\n";
    // Why a plane has no number stands in its warnings.
    const auto line = [&](const char* name, const Estimate& e, const char* unit) {
      if (plane.withheld.empty()) {
        text += name + format_with_uncertainty(e.value, e.standard_uncertainty, unit) + "\n";
      }
    };
    line("  volume flow    ", plane.volume_flow_m3_s, "m3/s");
    line("  momentum flux  ", plane.momentum_flux_n, "N");
    for (const std::string& warning : plane.warnings) {
      text += "! " + warning + "\n";
    }
  }
  const std::string next = next_sweep_text(result);
  return next.empty() ? text : text + next + "\n";
}

}  // namespace sweepflux::tool
