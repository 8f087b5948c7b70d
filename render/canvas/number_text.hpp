#pragma once

#include "sweepflux/base/measured.hpp"

#include <string>
#include <string_view>

namespace sweepflux::render {

/// A number as it is set in print: a real minus sign, fixed decimals.
[[nodiscard]] std::string fixed_text(double value, int decimals);

/// So many significant digits; very large and very small ones as 1.2×10⁻⁵.
[[nodiscard]] std::string number_text(double value, int significant_digits = 3);

/// Value and standard uncertainty, the latter with two digits: "0.613 ± 0.031 m³/s", as everywhere
/// in text and tables. Where the 95 % interval is lopsided, plus-minus would hide it, so the
/// interval is spelt out: "0.613 (95 %: 0.55 to 0.72) m³/s".
[[nodiscard]] std::string estimate_text(const Estimate& estimate, std::string_view unit);

/// A value and its unit: a percent sign or degree sign keeps its own spacing.
[[nodiscard]] std::string with_unit(std::string_view number, std::string_view unit);

/// A share in percent: two significant digits, and 100 % at one.
[[nodiscard]] std::string share_text(double share);

}  // namespace sweepflux::render
