#include "sweepflux/capture/delimited/csv_rows.hpp"

#include <array>
#include <cstddef>
#include <string_view>
#include <vector>

namespace sweepflux {
namespace {

constexpr std::string_view candidates = "\t;|,";  // the surest first
constexpr std::size_t lines_looked_at = 60;

/// How often each candidate stands in a line outside of quotes, and how many words it has.
struct Counts {
  std::array<std::size_t, candidates.size()> of{};
  std::size_t words = 0;  ///< set apart by blanks; units in brackets do not count
};

Counts count_separators(std::string_view line) {
  Counts counts;
  bool in_quotes = false;
  char before = ' ';
  for (const char c : line) {
    in_quotes = in_quotes != (c == '"');
    const std::size_t which = candidates.find(c);
    if (!in_quotes && which != std::string_view::npos) {
      ++counts.of[which];
    }
    if (before == ' ' && c != ' ' && c != '[' && c != '(') {
      ++counts.words;
    }
    before = c;
  }
  return counts;
}

std::vector<Counts> count_lines(std::string_view text) {
  std::vector<Counts> lines;
  while (!text.empty() && lines.size() < lines_looked_at) {
    const std::size_t length = text.find_first_of("\r\n");
    const std::string_view line = text.substr(0, length);
    const std::size_t first = line.find_first_not_of(" \t");
    if (first != std::string_view::npos && line[first] != '#') {
      lines.push_back(count_separators(line));
    }
    text.remove_prefix(length == std::string_view::npos ? text.size() : length + 1);
  }
  return lines;
}

/// Commas that start below a heading without any, where both have the same number of words, are
/// decimal commas in a table set apart by blanks.
bool are_decimal_commas(const std::vector<Counts>& lines, std::size_t run_start) {
  if (run_start == 0) {
    return false;
  }
  const Counts& heading = lines[run_start - 1];
  return heading.of == decltype(heading.of){} && heading.words >= 2 &&
         heading.words == lines[run_start].words;
}

}  // namespace

// A heading and its rows hold the separator equally often. A decimal comma also comes equally
// often on every row, but not in the heading, so its run of equal lines is the shorter one.
char find_separator(std::string_view text) {
  const std::vector<Counts> lines = count_lines(text);
  std::size_t best_run = 1;  // one line alone agrees with nothing
  std::size_t best_start = 0;
  char best = ' ';
  for (std::size_t c = 0; c < candidates.size(); ++c) {
    std::size_t run = 0;
    for (std::size_t i = 0; i < lines.size(); ++i) {
      const bool goes_on = i > 0 && lines[i].of[c] == lines[i - 1].of[c];
      run = lines[i].of[c] == 0 ? 0 : goes_on ? run + 1 : 1;
      if (run > best_run) {
        best_run = run;
        best = candidates[c];
        best_start = i + 1 - run;
      }
    }
  }
  if (best == ',' && are_decimal_commas(lines, best_start)) {
    return ' ';
  }
  for (std::size_t c = 0; best_run == 1 && best == ' ' && c < candidates.size(); ++c) {
    if (!lines.empty() && lines.front().of[c] > 0) {
      best = candidates[c];
    }
  }
  return best;
}

}  // namespace sweepflux
