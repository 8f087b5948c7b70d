#pragma once

#include "sweepflux/base/geometry.hpp"
#include "sweepflux/field/general/interpolants.hpp"

#include <cstdint>
#include <span>
#include <string_view>

namespace sweepflux {

/// The smallest window that holds all places.
///
/// @param at  one at least
[[nodiscard]] Window bounds(std::span<const PlanePoint> at);

/// A place on a fine lattice of whole numbers.
struct LatticePoint {
  std::int64_t y = 0;
  std::int64_t z = 0;

  friend bool operator==(LatticePoint, LatticePoint) = default;
};

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

/// A lattice so fine that it never matters to a value, and so coarse that sums of products of its
/// numbers are exact in 128 bits. Its step is a power of ten metres, so that places written with
/// few decimals (the normal case: 0.1, 0.2, 0.3) fall on it exactly and what lies in one line or
/// on one circle on paper does so in the machine too.
class Lattice {
 public:
  /// Differences of lattice numbers stay below 2^this.
  static constexpr int bits = 30;

  /// @param at  finite; the lattice spans them all, with a step below span / 10^8
  explicit Lattice(std::span<const PlanePoint> at);

  /// The nearest lattice point. Places far outside the span are drawn to just outside it.
  [[nodiscard]] LatticePoint snap(PlanePoint p) const;

 private:
  double step_m_ = 1.0;
  std::int64_t y_low_ = 0;
  std::int64_t z_low_ = 0;
};

/// Sorts the places by y, then z, and merges those that fall on one lattice point, so that no
/// method depends on the order of rows and none meets a singular matrix. Merged values are
/// averaged with weights 1 / noise_sd^2 (exact values: plain mean).
///
/// @throws InputError  no places, sizes differ, a number is not finite, or noise_sd < 0
[[nodiscard]] ScatteredValues merged(const ScatteredValues& values);

/// True when all places lie in one line (thinner than 1e-7 of its length), or are fewer than 3.
[[nodiscard]] bool in_one_line(std::span<const PlanePoint> at);

/// @param method  for the message
/// @throws NumericalError  in one line; says which ("all 9 places lie at z = 0.40 m: two heights
///         are needed")
void require_two_directions(std::span<const PlanePoint> at, std::string_view method);

/// @throws InputError  a place is not finite
void require_finite(std::span<const PlanePoint> at, std::string_view what);

}  // namespace sweepflux
