#pragma once

#include <charconv>
#include <cmath>
#include <string>
#include <string_view>

namespace sweepflux {

/// Appends the shortest text that reads back to the same bits; nothing for not-a-number or
/// infinity. Never depends on the locale.
inline void append_number(std::string& text, double value) {
  if (!std::isfinite(value)) {
    return;
  }
  char buffer[32];
  const auto end = std::to_chars(buffer, buffer + sizeof buffer, value);
  text.append(buffer, end.ptr);
}

/// Appends with so many decimals, without the zeros behind the last digit that says something.
inline void append_rounded(std::string& text, double value, int decimals) {
  if (!std::isfinite(value)) {
    return;
  }
  char buffer[400];  // a double in fixed form has up to 309 digits before the point
  const auto end =
      std::to_chars(buffer, buffer + sizeof buffer, value, std::chars_format::fixed, decimals);
  char* last = end.ptr;
  if (decimals > 0) {
    while (last[-1] == '0') {
      --last;
    }
    last -= last[-1] == '.' ? 1 : 0;
  }
  const std::string_view digits(buffer, static_cast<std::size_t>(last - buffer));
  text += digits == "-0" ? std::string_view("0") : std::string_view(digits);
}

}  // namespace sweepflux
