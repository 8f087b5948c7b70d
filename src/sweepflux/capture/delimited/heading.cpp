#include "sweepflux/capture/delimited/heading.hpp"

#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <array>

namespace sweepflux {
namespace {

bool is_unit(std::string_view text) {
  // "speed_1" counts columns, it is no ratio.
  const bool counts = !text.empty() && text.find_first_not_of("0123456789-") == std::string::npos;
  return !counts && (find_unit(text).has_value() || is_step_unit(text));
}

std::string single_blanks(std::string_view text) {
  std::string result;
  for (const char c : trimmed(text)) {
    const bool blank = c == ' ' || c == '\t' || c == '\r' || c == '\n';
    if (!blank) {
      result += c;
    } else if (result.back() != ' ') {
      result += ' ';
    }
  }
  return result;
}

/// Cuts at `at`, of which `width` bytes belong to neither side.
void cut(HeadingCell& cell, std::size_t at, std::size_t width, std::size_t bytes_behind) {
  const std::string_view text = cell.text;
  const std::string_view rest = text.substr(at + width);
  cell.unit = trimmed(rest.substr(0, rest.size() - bytes_behind));
  std::string_view name = trimmed(text.substr(0, at));
  if (!name.empty() && name.back() == '/') {  // "speed / m/s", "speed / (m/s)"
    name = trimmed(name.substr(0, name.size() - 1));
  }
  cell.name = name;
}

bool split_brackets(HeadingCell& cell) {
  const std::string& text = cell.text;
  const std::size_t square = text.rfind('[');
  if (text.back() == ']' && square != std::string::npos) {
    cut(cell, square, 1, 1);
    return true;
  }
  const std::size_t round = text.rfind('(');
  if (text.back() == ')' && round != std::string::npos && is_unit(text.substr(round))) {
    cut(cell, round, 1, 1);
    return true;
  }
  return false;
}

/// The longest unit behind one of the marks.
bool split_at(HeadingCell& cell, char mark, std::size_t shortest_unit) {
  for (std::size_t at = cell.text.find(mark); at != std::string::npos;
       at = cell.text.find(mark, at + 1)) {
    const std::string_view rest = trimmed(std::string_view(cell.text).substr(at + 1));
    if (at > 0 && rest.size() >= shortest_unit && is_unit(rest)) {
      cut(cell, at, 1, 0);
      return true;
    }
  }
  return false;
}

}  // namespace

HeadingCell split_heading(std::string_view text) {
  HeadingCell cell;
  cell.text = single_blanks(as_utf8(text));
  cell.name = cell.text;
  constexpr std::size_t longest_heading = 256;  // bounds the time; names are shorter
  if (cell.text.empty() || cell.text.size() > longest_heading || split_brackets(cell)) {
    return cell;
  }
  struct Mark {
    char sign;
    std::size_t shortest_unit;
  };
  // A blank alone is a weak mark ("pos h" is hardly a position in hours), but it comes before the
  // slash, which also stands within units.
  constexpr std::array<Mark, 4> marks = {{{'_', 1}, {',', 1}, {' ', 2}, {'/', 1}}};
  for (const Mark& mark : marks) {
    if (split_at(cell, mark.sign, mark.shortest_unit)) {
      break;
    }
  }
  return cell;
}

std::string comparable_name(std::string_view name) {
  std::string spaced = lower_ascii(name);
  std::replace(spaced.begin(), spaced.end(), '_', ' ');
  std::replace(spaced.begin(), spaced.end(), '-', ' ');
  return single_blanks(spaced);
}

HeadingMatch match_heading(const HeadingCell& cell, std::string_view wanted) {
  if (cell.text.empty()) {
    return HeadingMatch::none;
  }
  const std::string name = comparable_name(wanted);
  if (comparable_name(cell.text) == name) {
    return HeadingMatch::by_text;
  }
  return comparable_name(cell.name) == name ? HeadingMatch::by_name : HeadingMatch::none;
}

std::vector<std::size_t> find_heading(std::span<const HeadingCell> heading,
                                      std::string_view wanted) {
  HeadingMatch best = HeadingMatch::by_name;
  std::vector<std::size_t> found;
  for (std::size_t i = 0; i < heading.size(); ++i) {
    const HeadingMatch match = match_heading(heading[i], wanted);
    if (match > best) {
      best = match;
      found.clear();
    }
    if (match == best) {
      found.push_back(i);
    }
  }
  return found;
}

bool is_units_row(std::span<const std::string> cells) {
  std::size_t filled = 0;
  std::size_t units = 0;
  for (const std::string& cell : cells) {
    if (cell.empty() || cell == "-" || cell == "1" || cell == "[-]") {
      continue;  // says "no unit" and may as well say "no value"
    }
    if (parse_number(cell)) {
      return false;
    }
    ++filled;
    if (is_unit(cell)) {
      ++units;
    }
  }
  return units > 0 && 2 * units >= filled;
}

}  // namespace sweepflux
