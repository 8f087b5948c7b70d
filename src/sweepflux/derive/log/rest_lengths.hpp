#pragma once

#include <vector>

namespace sweepflux {

/// What the lengths of a log's rests say of each other.
struct RestLengths {
  double usual_s = 0.0;     ///< median of the stops; 0: no rest
  double shortest_s = 0.0;  ///< rests below it are no stops but places passed on the way
  double parked_s = 0.0;    ///< rests above it are no usual stops: parked, or a pause
  bool enough = false;      ///< there are four stops or more, so that a long one stands out
};

/// Judges rests by each other in the logarithm of their length: they are parted where one is more
/// than 3.3 times the one before, and the part that holds most time is that of the stops, three
/// rests of a longer part not counted (parked at the start, at the end, one pause). Parts of less
/// than half a second are stops only where there is nothing longer. The limits are common practice,
/// no published source; median and median absolute deviation as in [ISO 13528, C.1].
///
/// @param lengths_s  of the rests, any order
[[nodiscard]] RestLengths judge_rest_lengths(std::vector<double> lengths_s);

}  // namespace sweepflux
