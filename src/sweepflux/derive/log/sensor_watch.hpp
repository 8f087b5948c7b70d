#pragma once

#include "sweepflux/derive/log/dwells.hpp"

#include <span>
#include <string>
#include <vector>

namespace sweepflux {

/// What the log as a whole says of its sensor.
struct SensorContext {
  double starting_speed = 0.0;  ///< of the probe, 0: unknown
  double full_scale = 0.0;      ///< 0: unknown, then the log's largest value stands for it
  double largest = 0.0;         ///< value in the log
  double largest_mean = 0.0;
  double digit = 0.0;              ///< smallest step between two values that was seen; 0: none
  double usual_turbulence = 0.0;   ///< median of scatter over mean, over dwells that have both
  double varied_turbulence = 0.0;  ///< likewise, over dwells whose values are not all equal
  bool sticks = false;  ///< one value went on from stop to stop, and stops elsewhere scatter
};

/// Gathers the context from the dwells seen so far.
[[nodiscard]] SensorContext sensor_context(std::span<const Dwell> dwells,
                                           double starting_speed,
                                           double full_scale);

/// What is wrong with one dwell, in words; empty when nothing is. The limits are common practice,
/// no published source, and stand beside their rules.
///
/// Looks for: a stuck reading, saturation, a stalled vane, drop-outs, gaps, readings over range,
/// and a dwell too short for its turbulence (with the dwell that would do).
///
/// @param neighbour_mean  the larger of the means beside it; NaN when it stands alone
[[nodiscard]] std::vector<std::string> sensor_warnings(const Dwell& dwell,
                                                       const SensorContext& context,
                                                       double neighbour_mean);

/// Adds the warnings to all dwells of a finished log.
void watch_sensor(std::span<Dwell> dwells, double starting_speed, double full_scale);

}  // namespace sweepflux
