#include "tool/plane_text.hpp"

#include "sweepflux/base/unit_text.hpp"

#include <cmath>

namespace sweepflux::tool {

std::string running_plane_text(const SurveyResult& result, double distance_m) {
  std::string text;
  for (const PlaneResult& plane : result.planes) {
    if (std::abs(plane.distance_m - distance_m) > 0.002) {
      continue;
    }
    text += "plane at " + format_number(plane.distance_m) + " m with " +
            std::to_string(plane.sweeps) + " sweeps:\n";
    // Why a plane has no number stands in its warnings.
    const auto line = [&](const char* name, const Estimate& e, const char* unit) {
      if (plane.withheld.empty()) {
        text += name + format_with_uncertainty(e.value, e.standard_uncertainty, unit) + "\n";
      }
    };
    line("  flow           ", plane.volume_flow_m3_s, "m3/s");
    line("  momentum flux  ", plane.momentum_flux_n, "N");
    for (const std::string& warning : plane.warnings) {
      text += "! " + warning + "\n";
    }
  }
  if (result.next_sweep) {
    text += "most informative next sweep: " + format_number(result.next_sweep->distance_m) + " m, height " +
            format_number(result.next_sweep->height_m) + " m; momentum flux then +- " +
            format_number(result.next_sweep->momentum_uncertainty_after_n, 2) + " N\n";
  }
  return text;
}

}  // namespace sweepflux::tool
