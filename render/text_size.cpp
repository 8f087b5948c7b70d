#include "render/text_size.hpp"

#include <cstddef>
#include <cstdint>

namespace sweepflux::render {
namespace {

constexpr std::string_view ellipsis = "…";
constexpr std::string_view replacement = "\xEF\xBF\xBD";

/// Bytes of the well-formed character at the front [Unicode 15, table 3-7]; 0 when broken.
std::size_t character_length(std::string_view text) {
  const auto byte = [&](std::size_t i) { return static_cast<std::uint8_t>(text[i]); };
  const std::uint8_t first = byte(0);
  std::size_t length = 0;
  std::uint8_t low = 0x80;
  std::uint8_t high = 0xBF;
  if (first < 0x80) {
    return 1;
  }
  if (first >= 0xC2 && first <= 0xDF) {
    length = 2;
  } else if (first >= 0xE0 && first <= 0xEF) {
    length = 3;
    low = first == 0xE0 ? 0xA0 : low;
    high = first == 0xED ? 0x9F : high;  // no surrogates
  } else if (first >= 0xF0 && first <= 0xF4) {
    length = 4;
    low = first == 0xF0 ? 0x90 : low;
    high = first == 0xF4 ? 0x8F : high;
  }
  if (length == 0 || text.size() < length || byte(1) < low || byte(1) > high) {
    return 0;
  }
  for (std::size_t i = 2; i < length; ++i) {
    if (byte(i) < 0x80 || byte(i) > 0xBF) {
      return 0;
    }
  }
  return length;
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
  std::string clean;
  while (!words.empty()) {
    const std::size_t length = character_length(words);
    if (length == 0) {
      clean += replacement;
      words.remove_prefix(1);
      continue;
    }
    const auto first = static_cast<std::uint8_t>(words[0]);
    if (length == 1 && (first < 0x20 || first == 0x7F)) {
      clean += ' ';
    } else {
      clean += words.substr(0, length);
    }
    words.remove_prefix(length);
  }
  return clean;
}

std::string shorten(std::string_view words, double size, bool bold, double width) {
  std::string text = clean_utf8(words);
  if (text_width(text, size, bold) <= width) {
    return text;
  }
  std::vector<std::size_t> starts;
  for (std::size_t i = 0; i < text.size();
       i += character_length(std::string_view(text).substr(i))) {
    starts.push_back(i);
  }
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
