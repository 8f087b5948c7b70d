#include "render/canvas/text_size.hpp"

#include "sweepflux/base/text_encoding.hpp"

#include <algorithm>
#include <cstddef>

namespace sweepflux::render {
namespace {

constexpr std::string_view ellipsis = "…";

/// Where each character of well-formed UTF-8 begins.
std::vector<std::size_t> character_starts(std::string_view text) {
  std::vector<std::size_t> starts;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if ((static_cast<unsigned char>(text[i]) & 0xC0U) != 0x80U) {
      starts.push_back(i);
    }
  }
  return starts;
}

std::vector<std::string_view> split_words(std::string_view text) {
  std::vector<std::string_view> words;
  std::size_t from = 0;
  while (from < text.size()) {
    const std::size_t start = text.find_first_not_of(' ', from);
    if (start == std::string_view::npos) {
      break;
    }
    const std::size_t end = std::min(text.find(' ', start), text.size());
    words.push_back(text.substr(start, end - start));
    from = end;
  }
  return words;
}

}  // namespace

std::string clean_utf8(std::string_view words) {
  std::string text = as_utf8(words);
  for (char& c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte < 0x20 || byte == 0x7F) {
      c = ' ';
    }
  }
  // U+FFFE and U+FFFF are well-formed, but no characters of XML.
  for (const std::string_view none : {"\xEF\xBF\xBE", "\xEF\xBF\xBF"}) {
    for (std::size_t at = text.find(none); at != std::string::npos; at = text.find(none, at)) {
      text[at + 2] = '\xBD';
    }
  }
  return text;
}

std::string shorten(std::string_view words, double size, bool bold, double width) {
  std::string text = clean_utf8(words);
  if (text_width(text, size, bold) <= width) {
    return text;
  }
  const std::vector<std::size_t> starts = character_starts(text);
  std::size_t fits = 0;  // as many characters as fit with the ellipsis
  std::size_t too_many = starts.size();
  while (fits + 1 < too_many) {
    const std::size_t middle = (fits + too_many) / 2;
    const std::string candidate = text.substr(0, starts[middle]) + std::string(ellipsis);
    (text_width(candidate, size, bold) <= width ? fits : too_many) = middle;
  }
  std::string cut = text.substr(0, starts.empty() ? 0 : starts[fits]);
  while (!cut.empty() && cut.back() == ' ') {
    cut.pop_back();
  }
  return cut + std::string(ellipsis);
}

std::vector<std::string> wrap_text(
    std::string_view words, double size, bool bold, double width, std::size_t most_lines) {
  const std::string text = clean_utf8(words);
  std::vector<std::string> lines;
  std::string line;
  for (const std::string_view word : split_words(text)) {
    const std::string longer = line.empty() ? std::string(word) : line + " " + std::string(word);
    const bool last = lines.size() + 1 >= most_lines;
    if (line.empty() || last || text_width(longer, size, bold) <= width) {
      line = longer;
    } else {
      lines.push_back(shorten(line, size, bold, width));
      line = word;
    }
  }
  if (!line.empty()) {
    lines.push_back(shorten(line, size, bold, width));
  }
  return lines;
}

}  // namespace sweepflux::render
