#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace sweepflux::render {

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

}  // namespace sweepflux::render
