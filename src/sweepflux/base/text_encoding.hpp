#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace sweepflux {

/// One of 0 to 9, whatever the locale.
[[nodiscard]] constexpr bool is_digit(char c) { return c >= '0' && c <= '9'; }

/// True when every byte belongs to well-formed UTF-8 (no overlong forms, no surrogates).
[[nodiscard]] bool is_utf8(std::string_view text);

/// Reads each byte as one Latin-1 character (ISO 8859-1).
[[nodiscard]] std::string utf8_from_latin1(std::string_view text);

/// The text as UTF-8: as it is when it is well-formed, else read as Latin-1.
[[nodiscard]] std::string as_utf8(std::string_view text);

/// Text for a terminal: what would steer it instead of standing in it is written as \xNN, byte by
/// byte. That is control characters (C0 and C1) but for the line feed, the line and paragraph
/// separators, the characters that order right and left (Bidi_Control of the Unicode Character
/// Database, UAX #9), and bytes that are no UTF-8.
[[nodiscard]] std::string terminal_text(std::string_view text);

/// The same for one line: line feeds too are escaped.
[[nodiscard]] std::string terminal_line(std::string_view text);

/// JSON text for a terminal: such characters, which JSON lets stand in its strings, as \uNNNN.
///
/// @param json  well-formed, in UTF-8
[[nodiscard]] std::string terminal_json(std::string_view json);

/// A piece of a user's file, fit to stand in a message: shortened, and escaped as terminal_line.
[[nodiscard]] std::string printable(std::string_view text, std::size_t most_bytes = 48);

/// The same in `backticks`.
[[nodiscard]] std::string in_backticks(std::string_view text);

/// Numbers below zero with a minus sign (U+2212) for the hyphen. A number stands alone: after a blank,
/// a bracket or nothing, before a blank, a mark or nothing; names of files stay as they are.
[[nodiscard]] std::string with_minus_signs(std::string_view text);

/// Blanks (space, tab, CR, LF, no-break space) at both ends taken off.
[[nodiscard]] std::string_view trimmed(std::string_view text);

/// The pieces between the marks; of an empty text none.
[[nodiscard]] std::vector<std::string_view> parts_of(std::string_view text, char mark);

/// ASCII letters made small; everything else as it is.
[[nodiscard]] std::string lower_ascii(std::string_view text);

}  // namespace sweepflux
