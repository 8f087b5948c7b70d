#include "sweepflux/integrate/rings.hpp"

#include "sweepflux/base/error.hpp"

#include <cmath>
#include <cstddef>
#include <numbers>
#include <string>

namespace sweepflux {
namespace {

void require_rising(std::span<const double> radius_m, std::span<const double> speed_m_s) {
  if (radius_m.size() != speed_m_s.size() || radius_m.size() < 2) {
    throw InputError("rings: as many speeds as radii, at least 2");
  }
  for (std::size_t i = 0; i < radius_m.size(); ++i) {
    if (!std::isfinite(radius_m[i]) || !std::isfinite(speed_m_s[i])) {
      throw InputError("rings: radius or speed " + std::to_string(i) + " is not finite");
    }
    if (radius_m[i] < 0.0 || (i > 0 && radius_m[i] <= radius_m[i - 1])) {
      throw InputError("rings: radii must be >= 0 and rise, radius " + std::to_string(i) +
                       " does not");
    }
  }
}

}  // namespace

RingSum ring_sum(std::span<const double> radius_m, std::span<const double> speed_m_s) {
  require_rising(radius_m, speed_m_s);
  RingSum sum;
  double inner = 0.0;
  for (std::size_t i = 0; i < radius_m.size(); ++i) {
    const bool last = i + 1 == radius_m.size();
    const double outer = last ? 2.0 * radius_m[i] - inner : 0.5 * (radius_m[i] + radius_m[i + 1]);
    const double area = std::numbers::pi * (outer * outer - inner * inner);
    sum.area_m2 += area;
    sum.flow_m3_s += area * speed_m_s[i];
    sum.square_m4_s2 += area * speed_m_s[i] * speed_m_s[i];
    inner = outer;
  }
  return sum;
}

}  // namespace sweepflux
