#include "sweepflux/capture/csv_rows.hpp"

#include <array>
#include <cstddef>
#include <string_view>
#include <vector>

namespace sweepflux {
namespace {

constexpr std::string_view candidates = "\t;|,";  // the surest first
constexpr std::size_t lines_looked_at = 60;

using Counts = std::array<std::size_t, candidates.size()>;

Counts count_separators(std::string_view line) {
  Counts counts{};
  bool in_quotes = false;
  for (const char c : line) {
    in_quotes = in_quotes != (c == '"');
    const std::size_t which = candidates.find(c);
    if (!in_quotes && which != std::string_view::npos) {
      ++counts[which];
    }
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

}  // namespace

// A heading and its rows hold the separator equally often. A decimal comma also comes equally
// often on every row, but not in the heading, so its run of equal lines is the shorter one.
char find_separator(std::string_view text) {
  const std::vector<Counts> lines = count_lines(text);
  std::size_t best_run = 1;  // one line alone agrees with nothing
  char best = ' ';
  for (std::size_t c = 0; c < candidates.size(); ++c) {
    std::size_t run = 0;
    for (std::size_t i = 0; i < lines.size(); ++i) {
      const bool goes_on = i > 0 && lines[i][c] == lines[i - 1][c];
      run = lines[i][c] == 0 ? 0 : goes_on ? run + 1 : 1;
      if (run > best_run) {
        best_run = run;
        best = candidates[c];
      }
    }
  }
  for (std::size_t c = 0; best_run == 1 && best == ' ' && c < candidates.size(); ++c) {
    if (!lines.empty() && lines.front()[c] > 0) {
      best = candidates[c];
    }
  }
  return best;
}

}  // namespace sweepflux
