#include "sweepflux/base/error.hpp"
#include "sweepflux/capture/delimited/csv_rows.hpp"
#include "sweepflux/capture/delimited/csv_source_private.hpp"

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <sys/stat.h>
#include <system_error>
#include <utility>
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

CsvSource CsvSource::open(const std::filesystem::path& file) {
  std::error_code ignored;
  if (std::filesystem::is_block_file(file, ignored) ||
      (std::filesystem::is_character_file(file, ignored) && file != "/dev/stdin")) {
    throw InputError("is a device, which may never end; must be a CSV file");
  }
  CsvSource source;
  source.name_ = file.string();
  source.file_ = open_input(file, ", must be a CSV file");
  return source;
}

CsvSource CsvSource::over(std::string text) {
  CsvSource source;
  source.text_ = std::move(text);
  return source;
}

std::size_t CsvSource::read(char* to, std::size_t count) {
  if (file_ == nullptr) {
    const std::size_t given = std::min(count, text_.size() - text_used_);
    std::copy_n(text_.data() + text_used_, given, to);
    text_used_ += given;
    return given;
  }
  const std::size_t given = std::fread(to, 1, count, file_.get());
  if (given < count && std::ferror(file_.get()) != 0) {
    throw SystemError(name_ + ": reading stopped: " + std::strerror(errno));
  }
  return given;
}

std::optional<std::size_t> CsvSource::size_hint() const {
  if (file_ == nullptr) {
    return text_.size() - text_used_;
  }
  struct stat status {};
  if (::fstat(::fileno(file_.get()), &status) != 0 || !S_ISREG(status.st_mode)) {
    return std::nullopt;
  }
  return static_cast<std::size_t>(status.st_size);
}

CsvOpening read_csv_opening(std::string_view text) {
  if (text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF")) {
    throw InputError("this is UTF-16 text; save it as CSV in UTF-8");
  }
  CsvOpening opening;
  opening.bytes = text.starts_with("\xEF\xBB\xBF") ? 3 : 0;
  const std::string_view rest = text.substr(opening.bytes);
  std::string_view line = rest.substr(0, rest.find_first_of("\r\n"));
  const std::string_view behind = rest.substr(line.size());
  const std::size_t length = line.size();
  if (line.size() == 7 && line.front() == '"' && line.back() == '"') {
    line = line.substr(1, 5);
  }
  if (line.size() == 5 && (line.starts_with("sep=") || line.starts_with("SEP=")) &&
      line[4] != '"' && line[4] != '#' && line[4] != '\0') {
    opening.separator = line[4];
    opening.bytes += length + (behind.starts_with("\r\n") ? 2U : behind.empty() ? 0U : 1U);
    opening.lines = 1;
  }
  return opening;
}

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
