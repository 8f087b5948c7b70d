#pragma once

#include <bit>
#include <cstdint>

namespace sweepflux {

/// Logarithm to base 2, for compilers to vectorise: relative error below 3e-7 for normal x > 0.
/// Series of the inverse hyperbolic tangent [Abramowitz & Stegun 4.1.27] about a power of 2.
inline float fast_log2(float x) {
  const auto bits = std::bit_cast<std::int32_t>(x);
  const std::int32_t exponent = (bits - 0x3f3504f3) >> 23;
  const float f = std::bit_cast<float>(bits - (exponent << 23)) - 1.0f;
  const float s = f / (2.0f + f), q = s * s;
  const float series = 1.0f + q * (1.0f / 3.0f + q * (0.2f + q * (1.0f / 7.0f + q * (1.0f / 9.0f))));
  return static_cast<float>(exponent) + 2.885390082f * s * series;
}

/// 2^x, relative error below 3e-7; x is held to [-126, 126]. Taylor series about an integer.
inline float fast_exp2(float x) {
  x = x < -126.0f ? -126.0f : (x > 126.0f ? 126.0f : x);
  const auto n = static_cast<std::int32_t>(x + (x < 0.0f ? -0.5f : 0.5f));
  const float t = 0.6931471806f * (x - static_cast<float>(n));
  const float series =
      1.0f +
      t * (1.0f +
           t * (0.5f +
                t * (1.0f / 6.0f + t * (1.0f / 24.0f + t * (1.0f / 120.0f + t * (1.0f / 720.0f))))));
  return series * std::bit_cast<float>((n + 127) << 23);
}

inline float fast_exp(float x) { return fast_exp2(1.442695041f * x); }

}  // namespace sweepflux
