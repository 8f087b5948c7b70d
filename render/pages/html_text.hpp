#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace sweepflux::render {

/// Text as it may stand in an element or an attribute of a page that is read as HTML and as XML:
/// the five special characters become entities; bytes that are no UTF-8 and characters that XML
/// forbids become U+FFFD.
[[nodiscard]] std::string escape_html(std::string_view text);

/// Plain typing to print: " +- " to a plus-minus sign, "-0.2" to a minus sign, units "m3/s",
/// "m2/s", "m2", "m3", "kg/m3" that stand alone to raised digits. Not for the user's own words.
[[nodiscard]] std::string pretty(std::string_view text);

/// Each text through pretty().
[[nodiscard]] std::vector<std::string> pretty_all(const std::vector<std::string>& texts);

/// All of them in one, with something between: "a; b".
[[nodiscard]] std::string joined(const std::vector<std::string>& texts, std::string_view between);

}  // namespace sweepflux::render
