#pragma once

#include "sweepflux/field/general/scattered.hpp"

namespace sweepflux {

/// Twice the area of a, b, c, > 0 when counter-clockwise. Exact: 2 * 30 + 2 bits.
[[nodiscard]] inline std::int64_t turn(LatticePoint a, LatticePoint b, LatticePoint c) {
  return (b.y - a.y) * (c.z - a.z) - (b.z - a.z) * (c.y - a.y);
}

/// Sign of the in-circle determinant: > 0 when d lies inside the circle through the
/// counter-clockwise a, b, c; 0 on it. Exact: four factors of 31 bits and a little.
[[nodiscard]] inline int in_circle(LatticePoint a, LatticePoint b, LatticePoint c, LatticePoint d) {
  __extension__ using Wide = __int128;
  const std::int64_t ay = a.y - d.y;
  const std::int64_t az = a.z - d.z;
  const std::int64_t by = b.y - d.y;
  const std::int64_t bz = b.z - d.z;
  const std::int64_t cy = c.y - d.y;
  const std::int64_t cz = c.z - d.z;
  const Wide sum = Wide{ay * ay + az * az} * (by * cz - bz * cy) +
                   Wide{by * by + bz * bz} * (cy * az - cz * ay) +
                   Wide{cy * cy + cz * cz} * (ay * bz - az * by);
  return (sum > 0) - (sum < 0);
}

}  // namespace sweepflux
