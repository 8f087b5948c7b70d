#include "sweepflux/base/text_encoding.hpp"

#include <algorithm>
#include <cstddef>

namespace sweepflux {
namespace {

unsigned byte_at(std::string_view text, std::size_t i) {
  return i < text.size() ? static_cast<unsigned char>(text[i]) : 0U;
}

bool continues(unsigned byte) { return (byte & 0xC0U) == 0x80U; }

/// Bytes of the well-formed character at `i`, or 0 [Unicode 15, table 3-7].
std::size_t character_length(std::string_view text, std::size_t i) {
  const unsigned a = byte_at(text, i);
  const unsigned b = byte_at(text, i + 1);
  if (a < 0x80U) {
    return 1;
  }
  if (a >= 0xC2U && a <= 0xDFU) {
    return continues(b) ? 2 : 0;
  }
  const unsigned c = byte_at(text, i + 2);
  if (a >= 0xE0U && a <= 0xEFU) {
    const bool legal = (a != 0xE0U || b >= 0xA0U) && (a != 0xEDU || b < 0xA0U);
    return legal && continues(b) && continues(c) ? 3 : 0;
  }
  if (a >= 0xF0U && a <= 0xF4U) {
    const bool legal = (a != 0xF0U || b >= 0x90U) && (a != 0xF4U || b < 0x90U);
    return legal && continues(b) && continues(c) && continues(byte_at(text, i + 3)) ? 4 : 0;
  }
  return 0;
}

/// The code point of a well-formed character.
unsigned code_point(std::string_view character) {
  const unsigned first = byte_at(character, 0);
  unsigned code = character.size() == 1 ? first : first & (0x7FU >> character.size());
  for (std::size_t i = 1; i < character.size(); ++i) {
    code = (code << 6U) | (byte_at(character, i) & 0x3FU);
  }
  return code;
}

bool steers_terminal(unsigned code) {
  return code < 0x20U || (code >= 0x7FU && code < 0xA0U) || code == 0x61CU ||
         (code >= 0x200EU && code <= 0x200FU) || (code >= 0x2028U && code <= 0x202EU) ||
         (code >= 0x2066U && code <= 0x2069U);
}

/// Calls `plain(character)` for what may stand, `steering(bytes, code)` for what may not; broken
/// bytes come one at a time.
template <typename Plain, typename Steering>
void for_each_character(std::string_view text, Plain plain, Steering steering) {
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t length = character_length(text, i);
    const std::string_view character = text.substr(i, length == 0 ? 1 : length);
    const unsigned code = length == 0 ? byte_at(text, i) : code_point(character);
    if (length == 0 || steers_terminal(code)) {
      steering(character, code);
    } else {
      plain(character);
    }
    i += character.size();
  }
}

std::string escaped(std::string_view text, bool keeps_line_feeds, std::size_t most_bytes) {
  std::string result;
  bool cut = false;
  const auto has_room = [&] {
    cut = cut || result.size() >= most_bytes;
    return !cut;
  };
  for_each_character(
      text,
      [&](std::string_view character) {
        if (has_room()) {
          result += character;
        }
      },
      [&](std::string_view bytes, unsigned code) {
        if (!has_room()) {
          return;
        }
        if (keeps_line_feeds && code == '\n') {
          result += '\n';
          return;
        }
        for (std::size_t i = 0; i < bytes.size(); ++i) {
          constexpr std::string_view digits = "0123456789ABCDEF";
          result += "\\x";
          result += digits[byte_at(bytes, i) >> 4U];
          result += digits[byte_at(bytes, i) & 15U];
        }
      });
  return cut ? result + "..." : result;
}

}  // namespace

bool is_utf8(std::string_view text) {
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t length = character_length(text, i);
    if (length == 0) {
      return false;
    }
    i += length;
  }
  return true;
}

std::string utf8_from_latin1(std::string_view text) {
  std::string result;
  result.reserve(text.size());
  for (std::size_t i = 0; i < text.size(); ++i) {
    const unsigned byte = byte_at(text, i);
    if (byte >= 0x80U) {
      result += static_cast<char>(0xC0U | (byte >> 6U));
    }
    result += static_cast<char>(byte < 0x80U ? byte : 0x80U | (byte & 0x3FU));
  }
  return result;
}

std::string as_utf8(std::string_view text) {
  return is_utf8(text) ? std::string(text) : utf8_from_latin1(text);
}

std::string terminal_text(std::string_view text) {
  return escaped(text, true, std::string_view::npos);
}

std::string terminal_line(std::string_view text) {
  return escaped(text, false, std::string_view::npos);
}

std::string terminal_json(std::string_view json) {
  constexpr std::string_view digits = "0123456789abcdef";
  std::string result;
  for_each_character(
      json,
      [&](std::string_view character) { result += character; },
      [&](std::string_view, unsigned code) {
        if (code == '\n') {
          result += '\n';
          return;
        }
        result += "\\u";
        for (const unsigned shift : {12U, 8U, 4U, 0U}) {
          result += digits[(code >> shift) & 15U];
        }
      });
  return result;
}

std::string printable(std::string_view text, std::size_t most_bytes) {
  return escaped(text, false, most_bytes);
}

std::string in_backticks(std::string_view text) {
  std::string quoted = printable(text);
  quoted.insert(quoted.begin(), '`');
  return quoted + '`';
}

std::string with_minus_signs(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const bool starts = i == 0 || std::string_view(" \n(").find(text[i - 1]) != std::string_view::npos;
    std::size_t end = i + 1;
    while (end < text.size() &&
           (is_digit(text[end]) ||
            (text[end] == '.' && end + 1 < text.size() && is_digit(text[end + 1])))) {
      ++end;
    }
    const bool ends = end == text.size() ||
                      std::string_view(" \n),;:.%e").find(text[end]) != std::string_view::npos;
    out += text[i] == '-' && starts && end > i + 1 && ends &&
                   !(end + 1 < text.size() && text[end] == '.' && text[end + 1] > ' ')
               ? "\u2212"
               : std::string(1, text[i]);
  }
  return out;
}

std::string_view trimmed(std::string_view text) {
  constexpr std::string_view blanks = " \t\r\n";
  constexpr std::string_view no_break_space = "\xC2\xA0";
  for (std::size_t before = text.size() + 1; before > text.size();) {
    before = text.size();
    text.remove_prefix(std::min(text.find_first_not_of(blanks), text.size()));
    text.remove_prefix(text.starts_with(no_break_space) ? no_break_space.size() : 0);
    text = text.substr(0, text.find_last_not_of(blanks) + 1);
    text.remove_suffix(text.ends_with(no_break_space) ? no_break_space.size() : 0);
  }
  return text;
}

std::vector<std::string_view> parts_of(std::string_view text, char mark) {
  std::vector<std::string_view> parts;
  for (std::size_t from = 0; from < text.size();) {
    const std::size_t to = std::min(text.find(mark, from), text.size());
    parts.push_back(text.substr(from, to - from));
    from = to + 1;
  }
  return parts;
}

std::string lower_ascii(std::string_view text) {
  std::string result(text);
  for (char& c : result) {
    c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  }
  return result;
}

}  // namespace sweepflux
