#pragma once

#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <string>
#include <string_view>

namespace sweepflux::tool {

/// Text with blanks behind it up to a width, and so many at least.
[[nodiscard]] inline std::string left_aligned(std::string text,
                                              std::size_t width,
                                              std::size_t least_gap = 0) {
  text.resize(std::max(width, text.size() + least_gap), ' ');
  return text;
}

/// Text with blanks before it up to a width.
[[nodiscard]] inline std::string right_aligned(const std::string& text, std::size_t width) {
  return std::string(width - std::min(width, text.size()), ' ') + text;
}

/// A sentence cut into lines at blanks, but not between a number and its unit, with a line's end;
/// all but the first are indented.
[[nodiscard]] inline std::string wrapped(const std::string& text, std::size_t indent) {
  constexpr std::size_t widest = 98;
  std::string lines;
  std::size_t column = 0;
  for (std::size_t from = 0; from < text.size();) {
    std::size_t to = std::min(text.find(' ', from), text.size());
    if (to > from && to < text.size() && is_digit(text[to - 1])) {  // a number keeps its unit
      const std::size_t end = std::min(text.find(' ', to + 1), text.size());
      std::string_view unit = std::string_view(text).substr(to + 1, end - to - 1);
      unit = unit.substr(0, unit.find_last_not_of(",;:.)") + 1);
      to = find_unit(unit) ? end : to;
    }
    const std::size_t length = to - from;
    if (column > indent && column + 1 + length > widest) {
      lines += "\n" + std::string(indent, ' ');
      column = indent;
    } else if (from > 0) {
      lines += ' ';
      ++column;
    }
    lines.append(text, from, length);
    column += length;
    from = to + 1;
  }
  return lines + "\n";
}

}  // namespace sweepflux::tool
