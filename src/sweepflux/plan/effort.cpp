#include "sweepflux/plan/effort.hpp"

namespace sweepflux {

double sweep_minutes(const Rig& rig, const std::vector<Stop>& stops, Change change) {
  double seconds = rig.return_time_s;
  for (const Stop& s : stops) {
    seconds += rig.step_time_s + s.settle_s + s.dwell_s;
  }
  switch (change) {
    case Change::none:
      break;
    case Change::height:
      seconds += rig.height_change_time_s;
      break;
    case Change::distance:
      seconds += rig.distance_change_time_s;
      break;
  }
  return seconds / 60.0;
}

}  // namespace sweepflux
