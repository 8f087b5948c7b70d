#pragma once

#include "sweepflux/base/measured.hpp"

#include <cstddef>
#include <optional>
#include <span>

namespace sweepflux {

/// A reading that may have company at the same place.
struct TimedReading {
  double position = 0.0;  ///< [rad] or [m]
  int direction = 0;      ///< of the move that led there
  double time_s = 0.0;
  double speed_m_s = 0.0;
  double standard_error_m_s = 0.0;  ///< NaN: unknown
};

/// Slow change of the fan or the probe, relative, per second.
struct Drift {
  Measured rate_per_s;       ///< of ln(speed)
  std::size_t repeats = 0;   ///< readings beyond the first at their place
  double freedom = 0.0;      ///< degrees, for Student's t
  double scatter = 1.0;      ///< of the repeats against their own errors; 1 when all is well
  double span_s = 0.0;       ///< longest time between repeats
  bool significant = false;  ///< at 95 %
};

/// Drift from places that were visited again, in the same sweep or in another: weighted least
/// squares of ln(speed) on time, with a free level for each place. Repeats that scatter more than
/// their errors say widen the result (Birge's ratio, [JCGM 100, 4.2]). Places that were reached
/// from both sides are compared within each side, so that backlash does not pass for drift.
///
/// @param tolerance  within which positions are one place
/// @return nothing when no place was visited twice with an air speed above three standard errors
[[nodiscard]] std::optional<Drift> find_drift(std::span<const TimedReading> readings,
                                              double tolerance);

/// Backlash of the drive and lag of the sensor: what a way there and a way back disagree by.
struct Backlash {
  Measured half_gap;         ///< [rad] or [m]: the way up sits so far above the true place
  double edge_share = 0.0;   ///< largest speed at the ends of the common range, over the peak
  bool significant = false;  ///< at 95 %
};

/// Half the gap of the centroids of the two ways over their common range, of the speed above its
/// lowest. A stream that is cut by
/// the ends of the range moves its centroid too little; `edge_share` tells.
///
/// @return nothing with fewer than three places on either way, or no speed
[[nodiscard]] std::optional<Backlash> find_backlash(std::span<const TimedReading> readings);

}  // namespace sweepflux
