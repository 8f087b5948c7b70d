#pragma once

#include <string>
#include <string_view>

namespace sweepflux {

/// A text of the user as a cell of a table that a spreadsheet may open. One that starts with
/// `=`, `+`, `-`, `@`, a tab or a line end would be taken for a formula, so an apostrophe goes
/// before it [OWASP, CSV Injection]; also before one that starts so behind apostrophes of its own,
/// so that read_text_cell gives back every text as it was. Quoted where it holds a separator, a
/// quote or a line end, starts with `#`, or has blanks at its ends. Not for numbers.
[[nodiscard]] std::string text_cell(std::string_view text);

/// The text that text_cell wrote, from a cell whose quotes are undone: the apostrophe before a
/// formula's start goes, any other stays.
[[nodiscard]] std::string_view read_text_cell(std::string_view cell);

/// A text in a comment line: line ends become blanks, and what a spreadsheet would cut off as a
/// cell of its own gets the same apostrophe.
[[nodiscard]] std::string comment_text(std::string_view text);

}  // namespace sweepflux
