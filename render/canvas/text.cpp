#include "render/canvas/text.hpp"

#include "sweepflux/base/text_encoding.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstddef>

namespace sweepflux::render {
namespace {

constexpr std::string_view minus_sign = "\u2212";

int exponent_of(double value) {
  return static_cast<int>(std::floor(std::log10(std::fabs(value)) + 1e-12));
}

std::string superscript(int exponent) {
  constexpr std::array<std::string_view, 10> digits{
      "⁰", "¹", "²", "³", "⁴", "⁵", "⁶", "⁷", "⁸", "⁹"};
  std::string text;
  for (const char c : std::to_string(exponent)) {
    text += c == '-' ? std::string_view("⁻") : digits[static_cast<std::size_t>(c - '0')];
  }
  return text;
}

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

std::string fixed_text(double value, int decimals) {
  if (std::isnan(value)) {
    return "not known";
  }
  if (std::isinf(value)) {
    return value > 0.0 ? "∞" : std::string(minus_sign) + "∞";
  }
  std::array<char, 400> digits{};
  const auto end = std::to_chars(digits.data(),
                                 digits.data() + digits.size(),
                                 std::fabs(value),
                                 std::chars_format::fixed,
                                 std::clamp(decimals, 0, 15));
  const std::string text(digits.data(), end.ptr);
  const bool zero = text.find_first_not_of("0.") == std::string::npos;
  return value < 0.0 && !zero ? std::string(minus_sign) + text : text;
}

std::string number_text(double value, int significant_digits) {
  if (value == 0.0 || !std::isfinite(value)) {
    return fixed_text(value, 0);
  }
  int exponent = exponent_of(value);
  // 9.996 with three digits is 10.0.
  const double unit = std::pow(10.0, exponent - significant_digits + 1);
  exponent = exponent_of(std::round(value / unit) * unit);
  if (exponent >= 5 || exponent < -4) {
    return fixed_text(value / std::pow(10.0, exponent), significant_digits - 1) + "×10" +
           superscript(exponent);
  }
  return fixed_text(value, std::max(0, significant_digits - 1 - exponent));
}

std::string with_unit(std::string_view number, std::string_view unit) {
  std::string text(number);
  if (!unit.empty()) {
    text += "\u00A0";
    text += unit;
  }
  return text;
}

std::string estimate_text(const Estimate& estimate, std::string_view unit) {
  const double below = estimate.value - estimate.low_95;
  const double above = estimate.high_95 - estimate.value;
  const double uncertainty = estimate.standard_uncertainty;
  if (!(uncertainty > 0.0) || !std::isfinite(uncertainty)) {
    return with_unit(number_text(estimate.value), unit);
  }
  const auto decimals_for = [](double size) { return std::clamp(1 - exponent_of(size), 0, 15); };
  constexpr double skew = 0.2;  // share of the interval's width that a plain plus-minus may hide
  if (std::fabs(above - below) > skew * (above + below)) {
    const int decimals = decimals_for(0.5 * (above + below));
    return with_unit(fixed_text(estimate.value, decimals) +
                         " (95 %: " + fixed_text(estimate.low_95, decimals) + " to " +
                         fixed_text(estimate.high_95, decimals) + ")",
                     unit);
  }
  const int decimals = decimals_for(uncertainty);
  const std::string value = fixed_text(estimate.value, decimals);
  return with_unit(value + "\u00A0±\u00A0" + fixed_text(uncertainty, decimals), unit);
}

std::string share_text(double share) {
  const double percent = 100.0 * share;
  if (percent == 0.0) {
    return with_unit("0", "%");
  }
  return with_unit(percent < 0.095 ? fixed_text(percent, 2) : number_text(percent, 2), "%");
}

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

std::string_view xml_entity(char c) {
  return c == '&' ? "&amp;" : c == '<' ? "&lt;" : c == '>' ? "&gt;" : c == '"' ? "&quot;" : "";
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
