#pragma once

#include <cmath>
#include <cstdint>
#include <numbers>
#include <random>

namespace sweepflux::test {

/// Seeded draws that are the same with any standard library (its distributions are not).
class Dice {
 public:
  explicit Dice(std::uint64_t seed) : engine_(seed) {}

  /// In [0, 1), 53 bits.
  double uniform() { return static_cast<double>(engine_() >> 11U) * 0x1.0p-53; }
  double uniform(double low, double high) { return low + (high - low) * uniform(); }
  std::uint64_t any() { return engine_(); }
  /// Mean 0, standard deviation `sd`; Box and Muller's polar-free form, one value a call.
  double normal(double sd) {
    const double radius = std::sqrt(-2.0 * std::log1p(-uniform()));
    return sd * radius * std::cos(2.0 * std::numbers::pi * uniform());
  }

 private:
  std::mt19937_64 engine_;
};

}  // namespace sweepflux::test
