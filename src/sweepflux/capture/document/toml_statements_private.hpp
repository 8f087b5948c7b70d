#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace sweepflux {

/// A piece of a TOML text that stands for itself: one header or one `key = value`. Found without
/// a full grammar, so that a text with mistakes can be taken apart as well.
struct TomlStatement {
  enum class Kind { header, pair, other };
  Kind kind = Kind::other;
  std::size_t first = 0;  ///< offset of its first byte that is no blank
  std::size_t last = 0;   ///< offset behind its last byte; may span lines
  std::size_t line = 0;   ///< of `first`, from 1
  std::size_t last_line = 0;
  std::size_t value = 0;           ///< pair: offset of the value's first byte, or of the line's end
  std::string key;                 ///< pair: the key; header: the name within the brackets
  std::string section;             ///< pair: the name of the header above
  std::size_t section_number = 0;  ///< counts headers, so that [[sweep]] blocks differ
  bool is_array_header = false;    ///< [[...]]
  bool is_open = false;            ///< a bracket or a quote that nothing closes
};

[[nodiscard]] std::vector<TomlStatement> split_toml(std::string_view text);

}  // namespace sweepflux
