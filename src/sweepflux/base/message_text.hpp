#pragma once

#include <span>
#include <string>
#include <vector>

namespace sweepflux {

/// The kind of uncertainty that outputs quote; each says it once, at its top.
inline constexpr const char* uncertainty_words =
    "+- standard uncertainty (k = 1); intervals 95 %";

/// A share as messages print it, two significant digits and from 99.5 % on whole percent: "4.2 %".
[[nodiscard]] std::string percent_text(double share);

/// A probability as messages print it: the same, from 0.01 % up; "below 0.01 %" under that.
[[nodiscard]] std::string chance_text(double chance);

/// A length as messages print it, to the millimetre and without zeros at its end: "1.5 m".
[[nodiscard]] std::string metres_text(double length_m);

/// A time as messages print it: "8.25 s", three significant digits; from 1000 s on "36050 s".
[[nodiscard]] std::string seconds_text(double time_s);

/// A number with so many decimals: "-0.50", "0.00" (no minus before a zero), "-" for not-a-number.
[[nodiscard]] std::string fixed_number(double value, int decimals);

/// How many decimals a column of numbers has: those that show `digits` significant ones of the
/// largest and one of the smallest, of the latter two more at most; -1: no number but zero.
[[nodiscard]] int column_decimals(std::span<const double> values, int digits);

/// A message and where it holds, such as "1.6 m"; empty: everywhere.
struct PlacedText {
  std::string place;
  std::string text;
};

/// One line a kind of message. Texts that differ in their numbers alone become one, which names the
/// places (of more than six the first five, and how many more) and gives each number as its range: "1 m, 1.6 m: 41 to 55 % of the flow is
/// extrapolated". Numbers that touch a letter, as in a file's name, are part of the text.
[[nodiscard]] std::vector<std::string> one_line_a_kind(std::span<const PlacedText> messages);

}  // namespace sweepflux
