#include "render/pages/html_text.hpp"

#include "render/canvas/text.hpp"
#include "sweepflux/base/text_encoding.hpp"

#include <array>
#include <cctype>
#include <cstddef>
#include <utility>

namespace sweepflux::render {
namespace {

constexpr std::string_view replacement = "\xEF\xBF\xBD";

/// The character at `at`; nothing when it is not whole or not allowed in XML.
std::string_view character_at(std::string_view text, std::size_t at) {
  const auto first = static_cast<unsigned char>(text[at]);
  const std::size_t length = first < 0x80 ? 1 : first < 0xE0 ? 2 : first < 0xF0 ? 3 : 4;
  const std::string_view one = text.substr(at, length);
  if (length == 1) {
    const bool blank = first == '\t' || first == '\n' || first == '\r';
    return (first >= 0x20 && first != 0x7F) || blank ? one : std::string_view{};
  }
  const bool control = one >= "\xC2\x80" && one <= "\xC2\x9F";
  const bool no_character = one == "\xEF\xBF\xBE" || one == "\xEF\xBF\xBF";
  return is_utf8(one) && !control && !no_character ? one : std::string_view{};
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
    const std::string_view one = character_at(text, i);
    if (one.empty()) {
      out += replacement;
      ++i;
      continue;
    }
    const std::string_view entity = text[i] == '\'' ? "&#39;" : xml_entity(text[i]);
    out += entity.empty() ? one : entity;
    i += one.size();
  }
  return out;
}

std::string pretty(std::string_view text_without_marks) {
  const std::string signed_text = with_minus_signs(text_without_marks);
  const std::string_view text = signed_text;
  // Longer ones first: "m3/s" holds "m3". Only after a space, so that no path is touched.
  constexpr std::array<std::pair<std::string_view, std::string_view>, 9> marks{{
      {" +- ", " \xC2\xB1 "},
      {"(+- ", "(\xC2\xB1 "},
      {" m3/s/W", " m\xC2\xB3/s/W"},
      {" m3/s", " m\xC2\xB3/s"},
      {" m3/min", " m\xC2\xB3/min"},
      {" m2/s", " m\xC2\xB2/s"},
      {" kg/m3", " kg/m\xC2\xB3"},
      {" m3", " m\xC2\xB3"},
      {" m2", " m\xC2\xB2"},
  }};
  std::string out = text.starts_with("+- ") ? "\xC2\xB1" : "";
  for (std::size_t i = out.size(); i < text.size();) {
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

std::string joined(const std::vector<std::string>& texts, std::string_view between) {
  std::string all;
  for (const std::string& text : texts) {
    all.append(all.empty() ? "" : between).append(text);
  }
  return all;
}

std::vector<std::string> pretty_all(const std::vector<std::string>& texts) {
  std::vector<std::string> out;
  for (const std::string& t : texts) {
    out.push_back(pretty(t));
  }
  return out;
}

}  // namespace sweepflux::render
