#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <string_view>

namespace sweepflux {

/// A plain decimal such as -12.375 with at most 15 digits: whole number over a power of ten, both
/// exact, so the quotient is the nearest double [Clinger 1990]. NaN: it is something else.
inline double plain_decimal(std::string_view text) {
  constexpr double not_plain = std::numeric_limits<double>::quiet_NaN();
  static constexpr std::array<double, 16> powers = {
      1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15};
  const char* at = text.data();
  const char* const end = at + text.size();
  const bool negative = at != end && *at == '-';
  at += negative ? 1 : 0;
  if (end - at > 16 || at == end) {
    return not_plain;
  }
  std::int64_t whole = 0;
  const char* point = nullptr;
  const char* const first = at;
  for (; at != end; ++at) {
    const unsigned digit = static_cast<unsigned>(static_cast<unsigned char>(*at)) - '0';
    if (digit <= 9) {
      whole = 10 * whole + static_cast<std::int64_t>(digit);
    } else if (*at == '.' && point == nullptr) {
      point = at;
    } else {
      return not_plain;
    }
  }
  const std::ptrdiff_t digits = end - first - (point != nullptr ? 1 : 0);
  if (digits < 1 || digits > 15) {
    return not_plain;
  }
  const std::size_t decimals = point != nullptr ? static_cast<std::size_t>(end - point - 1) : 0;
  const double value = static_cast<double>(whole) / powers[decimals];
  return negative ? -value : value;
}

}  // namespace sweepflux
