#pragma once

#include "sweepflux/base/measured.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace sweepflux::render {

/// A number as it is set in print: a real minus sign, fixed decimals.
[[nodiscard]] std::string fixed_text(double value, int decimals);

/// So many significant digits; very large and very small ones as 1.2×10⁻⁵.
[[nodiscard]] std::string number_text(double value, int significant_digits = 3);

/// Value and standard uncertainty, the latter with two digits: "0.613 ± 0.031 m³/s", as everywhere
/// in text and tables. Where the 95 % interval is lopsided, plus-minus would hide it, so the
/// interval is spelt out: "0.613 (95 %: 0.55 to 0.72) m³/s".
[[nodiscard]] std::string estimate_text(const Estimate& estimate, std::string_view unit);

/// A value and its unit, on one line.
[[nodiscard]] std::string with_unit(std::string_view number, std::string_view unit);

/// A share in percent: two significant digits, and 100 % at one.
[[nodiscard]] std::string share_text(double share);

/// The font of all pictures; the package fonts-dejavu-core has it.
inline constexpr const char* font_family = "DejaVu Sans";

/// Width of a text in the pictures' font [px]. Needs no display.
///
/// @throws SystemError  the machine has no font at all
[[nodiscard]] double text_width(std::string_view words, double size, bool bold = false);

/// Breaks a text at its spaces into lines no wider than `width`; what is left after `most_lines`
/// is cut with an ellipsis, and so is a word wider than a line.
[[nodiscard]] std::vector<std::string> wrap_text(
    std::string_view words, double size, bool bold, double width, std::size_t most_lines);

/// The text itself, or its start and an ellipsis, no wider than `width`.
[[nodiscard]] std::string shorten(std::string_view words, double size, bool bold, double width);

/// UTF-8 that any reader accepts, XML's included: text that is not UTF-8 is read as Latin-1,
/// control characters become a space.
[[nodiscard]] std::string clean_utf8(std::string_view words);

/// What stands for a character that is markup in elements and quoted attributes; empty: itself.
[[nodiscard]] std::string_view xml_entity(char c);

}  // namespace sweepflux::render
