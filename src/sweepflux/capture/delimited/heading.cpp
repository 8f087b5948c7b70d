#include "sweepflux/capture/delimited/heading.hpp"

#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>

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

/// Cuts at the mark that stands at `at`.
void cut(HeadingCell& cell, std::size_t at, std::size_t bytes_behind) {
  const std::string_view text = cell.text;
  const std::string_view rest = text.substr(at + 1);
  cell.unit = trimmed(rest.substr(0, rest.size() - bytes_behind));
  std::string_view name = trimmed(text.substr(0, at));
  if (!name.empty() && name.back() == '/') {  // "speed / m/s", "speed / (m/s)"
    name = trimmed(name.substr(0, name.size() - 1));
  }
  cell.name = name;
}

bool split_brackets(HeadingCell& cell) {
  const std::string& text = cell.text;
  const bool square = text.back() == ']';
  const std::size_t at = square || text.back() == ')' ? text.rfind(square ? '[' : '(') : text.npos;
  const bool is_cut = at != text.npos && (square || is_unit(text.substr(at)));
  if (is_cut) {
    cut(cell, at, 1);
  }
  return is_cut;
}

/// The longest unit behind one of the marks.
bool split_at(HeadingCell& cell, char mark, std::size_t shortest_unit) {
  for (std::size_t at = cell.text.find(mark); at != std::string::npos;
       at = cell.text.find(mark, at + 1)) {
    const std::string_view rest = trimmed(std::string_view(cell.text).substr(at + 1));
    if (at > 0 && rest.size() >= shortest_unit && is_unit(rest)) {
      cut(cell, at, 0);
      return true;
    }
  }
  return false;
}

/// A name made fit to compare: small letters, `_` and `-` as blanks, blanks single.
std::string comparable_name(std::string_view name) {
  std::string spaced = lower_ascii(name);
  std::replace(spaced.begin(), spaced.end(), '_', ' ');
  std::replace(spaced.begin(), spaced.end(), '-', ' ');
  return single_blanks(spaced);
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
  // A blank alone is a weak mark ("pos h" is hardly a position in hours), but it comes before the
  // slash, which also stands within units.
  const bool is_split = split_at(cell, '_', 1) || split_at(cell, ',', 1) || split_at(cell, ' ', 2);
  if (!is_split) {
    split_at(cell, '/', 1);
  }
  return cell;
}

std::vector<HeadingCell> read_heading(const CsvRow& row, bool blanks_separate) {
  std::vector<HeadingCell> cells;
  for (const CsvCell& cell : row.cells) {
    const bool is_bracket = cell.text.starts_with('[') || cell.text.starts_with('(');
    if (blanks_separate && is_bracket && !cells.empty() && cells.back().unit.empty()) {
      const HeadingCell before = cells.back();
      cells.back() = split_heading(before.text + " " + as_utf8(cell.text));
      cells.back().column = before.column;
    } else {
      cells.push_back(split_heading(cell.text));
      cells.back().column = cell.column;
    }
    cells.back().line = row.line;
  }
  return cells;
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
