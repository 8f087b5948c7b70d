#include "sweepflux/base/text_encoding.hpp"

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

void append_escaped(std::string& to, unsigned byte) {
  constexpr std::string_view digits = "0123456789ABCDEF";
  to += "\\x";
  to += digits[byte >> 4U];
  to += digits[byte & 15U];
}

/// A character of several bytes that breaks the line, turns it around or does worse: the control
/// characters U+0080 to U+009F, the separators U+2028 and U+2029, and what orders right and left.
bool steers_terminal(std::string_view character) {
  if (character.size() == 2 && character[0] == '\xC2') {
    return static_cast<unsigned char>(character[1]) < 0xA0U;
  }
  return character.size() == 3 && character.substr(0, 2) == "\xE2\x80" &&
         static_cast<unsigned char>(character[2]) >= 0xA8U &&
         static_cast<unsigned char>(character[2]) <= 0xAEU;
}

/// Bytes of the blank at the front or the back, or 0.
std::size_t blank_at_front(std::string_view text) {
  if (text.empty()) {
    return 0;
  }
  if (std::string_view(" \t\r\n").find(text.front()) != std::string_view::npos) {
    return 1;
  }
  return text.substr(0, 2) == "\xC2\xA0" ? 2 : 0;
}

std::size_t blank_at_back(std::string_view text) {
  if (text.empty()) {
    return 0;
  }
  if (std::string_view(" \t\r\n").find(text.back()) != std::string_view::npos) {
    return 1;
  }
  return text.size() >= 2 && text.substr(text.size() - 2) == "\xC2\xA0" ? 2 : 0;
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
  for (const char c : text) {
    const unsigned byte = static_cast<unsigned char>(c);
    if (byte < 0x80U) {
      result += c;
    } else {
      result += static_cast<char>(0xC0U | (byte >> 6U));
      result += static_cast<char>(0x80U | (byte & 0x3FU));
    }
  }
  return result;
}

std::string as_utf8(std::string_view text) {
  return is_utf8(text) ? std::string(text) : utf8_from_latin1(text);
}

std::string printable(std::string_view text, std::size_t most_bytes) {
  std::string result;
  for (std::size_t i = 0; i < text.size();) {
    if (result.size() >= most_bytes) {
      result += "...";
      break;
    }
    const std::size_t length = character_length(text, i);
    const unsigned byte = byte_at(text, i);
    if (length == 0 || byte < 0x20U || byte == 0x7FU) {
      append_escaped(result, byte);
      ++i;
    } else if (steers_terminal(text.substr(i, length))) {
      for (std::size_t end = i + length; i < end; ++i) {
        append_escaped(result, byte_at(text, i));
      }
    } else {
      result += text.substr(i, length);
      i += length;
    }
  }
  return result;
}

std::string in_backticks(std::string_view text) {
  std::string quoted = printable(text);
  quoted.insert(quoted.begin(), '`');
  return quoted + '`';
}

std::string_view trimmed(std::string_view text) {
  while (const std::size_t blank = blank_at_front(text)) {
    text.remove_prefix(blank);
  }
  while (const std::size_t blank = blank_at_back(text)) {
    text.remove_suffix(blank);
  }
  return text;
}

std::string lower_ascii(std::string_view text) {
  std::string result(text);
  for (char& c : result) {
    c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  }
  return result;
}

}  // namespace sweepflux
