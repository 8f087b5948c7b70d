#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstddef>
#include <string>
#include <system_error>

namespace sweepflux {
namespace {

constexpr std::size_t longest_number = 128;
constexpr double first_inexact_integer = 9007199254740992.0;  // 2^53: may have been 2^53 + 1
constexpr std::size_t digits_surely_exact = 15;

bool all_digits(std::string_view text) { return std::all_of(text.begin(), text.end(), is_digit); }

/// from_chars with nothing left over; `text` holds no sign.
std::optional<double> parse_unsigned(std::string_view text) {
  double value = 0.0;
  const char* const last = text.data() + text.size();
  const std::from_chars_result result = std::from_chars(text.data(), last, value);
  if (result.ec != std::errc{} || result.ptr != last || !std::isfinite(value)) {
    return std::nullopt;
  }
  if (text.size() > digits_surely_exact && value >= first_inexact_integer && all_digits(text)) {
    return std::nullopt;
  }
  return value;
}

std::string to_text(double value, std::chars_format format, int precision) {
  std::array<char, 400> buffer{};  // the largest double in fixed form has 309 digits
  const std::to_chars_result result =
      std::to_chars(buffer.data(), buffer.data() + buffer.size(), value, format, precision);
  return {buffer.data(), result.ptr};
}

}  // namespace

std::optional<double> parse_number(std::string_view text, char decimal_mark) {
  bool negative = false;
  if (text.substr(0, 3) == "\xE2\x88\x92") {
    negative = true;
    text.remove_prefix(3);
  } else if (!text.empty() && (text.front() == '+' || text.front() == '-')) {
    negative = text.front() == '-';
    text.remove_prefix(1);
  }
  // from_chars would take a second sign, "inf" and "nan".
  if (text.empty() || text.size() > longest_number ||
      (!is_digit(text.front()) && text.front() != decimal_mark)) {
    return std::nullopt;
  }
  std::optional<double> value;
  if (decimal_mark == '.') {
    value = parse_unsigned(text);
  } else {
    std::array<char, longest_number> pointed{};
    for (std::size_t i = 0; i < text.size(); ++i) {
      if (text[i] == '.') {
        return std::nullopt;
      }
      pointed[i] = text[i] == decimal_mark ? '.' : text[i];
    }
    value = parse_unsigned({pointed.data(), text.size()});
  }
  return value && negative ? std::optional<double>(-*value) : value;
}

std::string format_number(double value, int digits) {
  if (!std::isfinite(value)) {
    return std::isnan(value) ? "not a number" : value > 0 ? "infinite" : "-infinite";
  }
  if (value == 0.0) {
    return "0";  // also for minus zero
  }
  constexpr int every_digit = 17;
  if (digits >= every_digit) {
    std::array<char, 32> buffer{};
    const std::to_chars_result result =
        std::to_chars(buffer.data(), buffer.data() + buffer.size(), value);
    return {buffer.data(), result.ptr};
  }
  return to_text(value, std::chars_format::general, std::max(digits, 1));
}

std::string fixed_number(double value, int decimals) {
  if (!std::isfinite(value)) {
    return "-";
  }
  const std::string text = to_text(value, std::chars_format::fixed, decimals);
  const bool zero = text.find_first_of("123456789") == std::string::npos;
  return zero && text.starts_with('-') ? text.substr(1) : text;
}

std::string format_with_uncertainty(double value,
                                    double standard_uncertainty,
                                    std::string_view unit) {
  std::string tail(unit.empty() ? "" : " ");
  tail += unit;
  if (!std::isfinite(value) || !std::isfinite(standard_uncertainty) || standard_uncertainty <= 0) {
    return format_number(value) + tail;
  }
  // The place of the second digit, after rounding: 0.0996 becomes 0.10, not 0.100.
  const std::string rounded = to_text(standard_uncertainty, std::chars_format::scientific, 1);
  const double uncertainty = parse_number(rounded).value_or(standard_uncertainty);
  const int place = static_cast<int>(std::floor(std::log10(uncertainty) + 1e-9)) - 1;
  constexpr int far = 9;
  if (place > far || place < -far) {
    return format_number(value) + " +- " + format_number(uncertainty, 2) + tail;
  }
  if (place > 0) {
    const double step = std::pow(10.0, place);
    value = std::round(value / step) * step;
  }
  const int decimals = std::max(0, -place);
  return fixed_number(value, decimals) + " +- " + fixed_number(uncertainty, decimals) + tail;
}

}  // namespace sweepflux
