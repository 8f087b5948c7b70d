#include "render/pages/html_text.hpp"

#include "sweepflux/base/unit_text.hpp"

#include <array>
#include <cctype>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <utility>

namespace sweepflux::render {
namespace {

constexpr std::string_view replacement = "\xEF\xBF\xBD";

/// Length of the UTF-8 sequence at `at` when it is whole, shortest and allowed in XML; else 0.
std::size_t sequence_length(std::string_view text, std::size_t at) {
  const auto byte = [&](std::size_t i) { return static_cast<std::uint8_t>(text[i]); };
  const std::uint32_t first = byte(at);
  std::size_t length = 0;
  std::uint32_t code = 0;
  if (first < 0x80) {
    const bool allowed = first >= 0x20 || first == '\t' || first == '\n' || first == '\r';
    return allowed && first != 0x7F ? 1 : 0;
  }
  if (first >= 0xC2 && first <= 0xDF) {
    length = 2;
    code = first & 0x1Fu;
  } else if (first >= 0xE0 && first <= 0xEF) {
    length = 3;
    code = first & 0x0Fu;
  } else if (first >= 0xF0 && first <= 0xF4) {
    length = 4;
    code = first & 0x07u;
  }
  if (length == 0 || at + length > text.size()) {
    return 0;
  }
  for (std::size_t i = 1; i < length; ++i) {
    if ((byte(at + i) & 0xC0u) != 0x80u) {
      return 0;
    }
    code = (code << 6) | (byte(at + i) & 0x3Fu);
  }
  constexpr std::array<std::uint32_t, 5> smallest{0, 0, 0x80, 0x800, 0x10000};
  const bool surrogate = code >= 0xD800 && code <= 0xDFFF;
  const bool control = code >= 0x80 && code <= 0x9F;
  const bool no_character = (code & 0xFFFEu) == 0xFFFEu;
  return code >= smallest[length] && code <= 0x10FFFF && !surrogate && !control && !no_character
             ? length
             : 0;
}

bool ends_word(std::string_view text, std::size_t at) {
  const auto letter = [&](std::size_t i) {
    return i < text.size() && (std::isalnum(static_cast<unsigned char>(text[i])) || text[i] == '_');
  };
  if (at >= text.size()) {
    return true;
  }
  // "m3.csv" and "m3/x" are names of files, "m3." ends a sentence.
  return !letter(at) && text[at] != '/' && !(text[at] == '.' && letter(at + 1));
}

}  // namespace

std::string escape_html(std::string_view text) {
  std::string out;
  out.reserve(text.size() + text.size() / 8);
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t length = sequence_length(text, i);
    if (length == 0) {
      out += replacement;
      ++i;
      continue;
    }
    switch (text[i]) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      case '\'':
        out += "&#39;";
        break;
      default:
        out += text.substr(i, length);
    }
    i += length;
  }
  return out;
}

std::string pretty(std::string_view text) {
  // Longer ones first: "m3/s" holds "m3". Only after a space, so that no path is touched.
  constexpr std::array<std::pair<std::string_view, std::string_view>, 8> marks{{
      {" +- ", " \xC2\xB1 "},
      {" m3/s/W", " m\xC2\xB3/s/W"},
      {" m3/s", " m\xC2\xB3/s"},
      {" m3/min", " m\xC2\xB3/min"},
      {" m2/s", " m\xC2\xB2/s"},
      {" kg/m3", " kg/m\xC2\xB3"},
      {" m3", " m\xC2\xB3"},
      {" m2", " m\xC2\xB2"},
  }};
  std::string out;
  for (std::size_t i = 0; i < text.size();) {
    bool replaced = false;
    for (const auto& [plain, print] : marks) {
      if (text.substr(i, plain.size()) == plain &&
          (plain.back() == ' ' || ends_word(text, i + plain.size()))) {
        out += print;
        i += plain.size();
        replaced = true;
        break;
      }
    }
    if (!replaced) {
      out += text[i++];
    }
  }
  return out;
}

NumberPair number_pair(double value, double standard_uncertainty) {
  if (!std::isfinite(value)) {
    return {};
  }
  if (!std::isfinite(standard_uncertainty) || !(standard_uncertainty > 0.0)) {
    return {format_number(value, 4), {}};
  }
  const std::string text = format_with_uncertainty(value, standard_uncertainty, "");
  const std::size_t mark = text.find(" +- ");
  if (mark == std::string::npos) {
    return {text, {}};
  }
  std::string uncertainty = text.substr(mark + 4);
  while (!uncertainty.empty() && uncertainty.back() == ' ') {
    uncertainty.pop_back();
  }
  return {text.substr(0, mark), uncertainty};
}

std::string number_cell(double value, int digits) {
  return std::isfinite(value) ? format_number(value, digits) : std::string();
}

}  // namespace sweepflux::render
