#include "sweepflux/capture/delimited/cell_text.hpp"

#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <map>
#include <utility>

namespace sweepflux {
namespace {

// What instruments, spreadsheets and programs write, `|` between the words; compared in small
// letters.
constexpr std::string_view missing_words =
    "nan|-nan|n/a|na|n.a.|#n/a|#na|#nv|#value!|#wert!|#div/0!|#num!|#ref!|#name?|#null!|null|none|"
    "nil|missing|void|error|err|?|??|???|.|..|...|nd|n.d.|<na>|nan(ind)|-nan(ind)|1.#ind|-1.#ind|"
    "1.#qnan|x";
constexpr std::string_view over_words =
    "ol|+ol|o.l|o.l.|0l|0.l|over|ovr|ovl|ovld|ofl|overrange|over "
    "range|over-range|overload|overflow|"
    "out of range|inf|+inf|infinity|+infinity|1.#inf|hi|high|over-load";
constexpr std::string_view under_words =
    "ul|u.l|-ol|under|underrange|under range|under-range|lo|low|-inf|-infinity|-1.#inf|ufl";

using Words = std::map<std::string_view, CellWord>;

Words all_words() {
  Words words;
  for (const auto& [texts, meaning] : {std::pair(missing_words, CellWord::missing),
                                       std::pair(over_words, CellWord::over_range),
                                       std::pair(under_words, CellWord::under_range)}) {
    for (const std::string_view text : parts_of(texts, '|')) {
      words.emplace(text, meaning);
    }
  }
  return words;
}

/// "-", "--", "---", also with typographic dashes.
bool is_dashes(std::string_view text) {
  while (!text.empty()) {
    const bool is_dash = text.front() == '-' || text.front() == '_' || text.front() == '*';
    if (!is_dash && !(text.starts_with("\xE2\x80") && text.size() >= 3)) {
      return false;
    }
    text.remove_prefix(is_dash ? 1 : 3);
  }
  return true;
}

}  // namespace

CellWord read_cell_word(std::string_view text, std::span<const std::string> also_missing) {
  static const Words words = all_words();
  constexpr std::size_t longest_word = 16;
  text = trimmed(text);
  if (is_dashes(text) ||
      std::find(also_missing.begin(), also_missing.end(), text) != also_missing.end()) {
    return CellWord::missing;
  }
  if (text.size() > longest_word) {
    return CellWord::other;
  }
  const auto found = words.find(lower_ascii(text));
  return found == words.end() ? CellWord::other : found->second;
}

std::string describe_word(CellWord word, std::string_view text) {
  switch (word) {
    case CellWord::missing:
      return trimmed(text).empty() ? "missing value (empty)"
                                   : "missing value " + in_backticks(text);
    case CellWord::over_range:
      return "over range " + in_backticks(text) + ", the true value is large";
    case CellWord::under_range:
      return "under range " + in_backticks(text);
    case CellWord::other:
      return "no number " + in_backticks(text);
  }
  return "";
}

std::string number_hint(std::string_view text) {
  const bool has_comma = text.find(',') != std::string_view::npos;
  const bool has_point = text.find('.') != std::string_view::npos;
  if (has_comma && has_point) {
    return "write one decimal mark, thousands are not set apart";
  }
  const std::size_t letter = text.find_first_of("dD");
  if (letter != std::string_view::npos && parse_number(text.substr(0, letter))) {
    return "write the exponent with E";
  }
  const std::size_t end = text.find_first_not_of("+-0123456789.,");
  if (end != 0 && end != std::string_view::npos && find_unit(text.substr(end))) {
    return "a unit belongs in the heading";
  }
  return "where there is none, write --- or NaN";
}

double ColumnNumbers::read(std::string_view text, std::size_t line) {
  const std::size_t mark = text.find_first_of(".,");
  if (mark == std::string_view::npos) {
    return parse_number(text).value_or(none);
  }
  const bool comma = text[mark] == ',';
  const std::optional<double> value = parse_number(text, text[mark]);
  if (!value) {
    return none;
  }
  std::size_t& first_line = comma ? comma_line_ : point_line_;
  first_line = first_line == 0 ? line : first_line;
  most_decimals_ = std::max(most_decimals_, decimals(text));
  return *value;
}

std::size_t ColumnNumbers::decimals(std::string_view text) {
  const std::size_t mark = text.find_first_of(".,");
  const bool has_exponent = text.find_first_of("eE") != std::string_view::npos;
  return mark == std::string_view::npos || has_exponent ? 0 : text.size() - mark - 1;
}

}  // namespace sweepflux
