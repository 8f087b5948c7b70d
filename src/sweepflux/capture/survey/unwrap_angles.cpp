#include "sweepflux/capture/survey/sweep_file_private.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

namespace sweepflux {
namespace {

constexpr double turn = 2.0 * std::numbers::pi;
constexpr double rounding = 1e-9;  // [rad] of a heading in degrees turned into radians

}  // namespace

bool unwrap_angles(std::vector<Reading>& readings, double zero_rad) {
  if (readings.empty()) {
    return false;
  }
  std::vector<double> angles;
  for (const Reading& reading : readings) {
    angles.push_back(reading.position);
  }
  std::sort(angles.begin(), angles.end());
  double low = angles.front();
  double high = angles.back();
  double cut = low;  // angles below are raised by a turn
  if (high - low > 0.5 * turn && high - low <= turn + rounding) {
    // The fan cannot have been in the widest gap; when that is not the one across the cut of the
    // scale, the sweep went over it.
    double widest = turn - (high - low);
    for (std::size_t i = 1; i < angles.size(); ++i) {
      if (angles[i] - angles[i - 1] > widest + rounding) {
        widest = angles[i] - angles[i - 1];
        cut = angles[i];
        low = angles[i];
        high = angles[i - 1] + turn;
      }
    }
  }
  const double middle = 0.5 * (low + high);
  const double away = middle - zero_rad;
  const double turns_off =
      std::abs(away) > 0.5 * turn + rounding ? std::round(away / turn) * turn : 0.0;
  bool changed = false;
  for (Reading& reading : readings) {
    const double shift = (reading.position < cut ? turn : 0.0) - turns_off;
    changed = changed || shift != 0.0;
    reading.position += shift;
  }
  return changed;
}

}  // namespace sweepflux
