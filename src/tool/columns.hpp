#pragma once

#include <algorithm>
#include <string>

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

}  // namespace sweepflux::tool
