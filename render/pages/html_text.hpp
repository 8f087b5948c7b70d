#pragma once

#include <string>
#include <string_view>

namespace sweepflux::render {

/// Text as it may stand in an element or an attribute of a page that is read as HTML and as XML:
/// the five special characters become entities; bytes that are no UTF-8 and characters that XML
/// forbids become U+FFFD.
[[nodiscard]] std::string escape_html(std::string_view text);

/// Plain typing to print: " +- " to a plus-minus sign, units "m3/s", "m2/s", "m2", "m3", "kg/m3"
/// that stand alone to raised digits. Not for the user's own words.
[[nodiscard]] std::string pretty(std::string_view text);

/// A value and its standard uncertainty, each rounded as the uncertainty deserves, for two cells
/// of a table. A value that is not known gives two empty texts.
struct NumberPair {
  std::string value;
  std::string uncertainty;
};
[[nodiscard]] NumberPair number_pair(double value, double standard_uncertainty);

/// A number for a cell; empty when it is not known.
[[nodiscard]] std::string number_cell(double value, int digits = 3);

}  // namespace sweepflux::render
