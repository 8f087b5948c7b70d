#include "sweepflux/capture/delimited/text_cell.hpp"

#include <cstddef>

namespace sweepflux {
namespace {

constexpr std::string_view formula_starts = "=+-@\t\r\n";
constexpr std::string_view separators = ",;|\t";

bool starts_formula(std::string_view text) {
  const std::size_t first = text.find_first_not_of('\'');
  return first != std::string_view::npos &&
         formula_starts.find(text[first]) != std::string_view::npos;
}

bool wants_quotes(std::string_view text) {
  return text.find_first_of(",;|\t\"\r\n") != std::string_view::npos ||
         (!text.empty() && (text.front() == '#' || text.front() == ' ' || text.back() == ' '));
}

}  // namespace

std::string text_cell(std::string_view text) {
  const std::string marked = (starts_formula(text) ? "'" : "") + std::string(text);
  if (!wants_quotes(marked)) {
    return marked;
  }
  std::string quoted = "\"";
  for (const char c : marked) {
    quoted += c == '"' ? "\"\"" : std::string(1, c);
  }
  return quoted + "\"";
}

std::string_view read_text_cell(std::string_view cell) {
  return cell.starts_with('\'') && starts_formula(cell) ? cell.substr(1) : cell;
}

std::string comment_text(std::string_view text) {
  std::string line;
  bool at_start = false;
  for (const char c : text) {
    if (at_start && (formula_starts.find(c) != std::string_view::npos) && c != '\t') {
      line += '\'';
    }
    line += c == '\n' || c == '\r' ? ' ' : c;
    // Blanks and quotes do not keep a spreadsheet from seeing what stands behind them.
    at_start = separators.find(c) != std::string_view::npos || (at_start && (c == ' ' || c == '"'));
  }
  return line;
}

}  // namespace sweepflux
