#pragma once

#include "sweepflux/base/geometry.hpp"
#include "sweepflux/field/general/interpolants.hpp"

#include <cstdint>
#include <span>
#include <string_view>
#include <vector>

namespace sweepflux {

/// A place on a fine lattice of whole numbers.
struct LatticePoint {
  std::int64_t y = 0;
  std::int64_t z = 0;

  friend bool operator==(LatticePoint, LatticePoint) = default;
};

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
  [[nodiscard]] double step_m() const { return step_m_; }

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
