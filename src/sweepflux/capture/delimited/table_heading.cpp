#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/delimited/table_reader_private.hpp"

#include <algorithm>
#include <cstddef>
#include <utility>

namespace sweepflux {
namespace {

constexpr std::size_t rows_looked_at = 64;
constexpr std::size_t most_rows_between = 3;  // of a heading and its readings, units row apart

std::size_t weight(const ColumnWish& wish) { return wish.required ? 100U : 1U; }

/// How many wishes a row fulfils; the required ones weigh more.
std::size_t score(std::span<const HeadingCell> cells, std::span<const ColumnWish> wishes) {
  std::size_t sum = 0;
  for (const ColumnWish& wish : wishes) {
    sum += find_heading(cells, wish.wanted()).empty() ? 0U : weight(wish);
  }
  return sum;
}

bool is_number_or_moment(std::string_view text) {
  const std::size_t mark = text.find_first_of(".,");
  return parse_number(text, mark == std::string_view::npos ? '.' : text[mark]).has_value() ||
         parse_clock(text).has_value();
}

/// True for a row with words but without a single number: what some loggers put below the units.
bool has_only_words(const CsvRow& row) {
  bool has_word = false;
  for (const CsvCell& cell : row.cells) {
    if (is_number_or_moment(cell.text)) {
      return false;
    }
    const bool is_word = read_cell_word(cell.text) == CellWord::other;
    if (!is_word && !cell.text.empty()) {
      return false;
    }
    has_word = has_word || is_word;
  }
  return has_word;
}

/// For the message when no name was found: the row above the first one with a number.
std::size_t guess_heading(const std::deque<KeptRow>& rows) {
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (!has_only_words(rows[i].row)) {
      return i == 0 ? 0 : i - 1;
    }
  }
  return 0;
}

/// Some programs write their heading as the last comment.
FoundHeading heading_from_comment(const CsvRows& rows, std::span<const ColumnWish> wishes) {
  FoundHeading heading;
  CsvOptions options;
  options.separator = rows.separator();
  CsvRows comment = CsvRows::over_text(rows.last_comment(), options);
  const CsvRow* row = comment.next();
  if (row == nullptr || row->fault != CsvFault::none) {
    return heading;
  }
  heading.cells = read_heading(*row, options.separator == ' ');
  heading.found = score(heading.cells, wishes) > 0;
  heading.line = rows.last_comment_line();
  for (HeadingCell& cell : heading.cells) {
    cell.line = heading.line;
  }
  return heading;
}

/// Takes a units row and rows of words off the front of the rows behind the heading.
void take_rows_below(FoundHeading& heading, const std::filesystem::path& file) {
  std::deque<KeptRow>& behind = heading.rows_behind;
  if (!behind.empty() && behind.front().row.fault == CsvFault::none) {
    std::vector<std::string> texts = texts_of(behind.front().row);
    if (is_units_row(texts)) {
      heading.units = texts;
      heading.rows.push_back(std::move(texts));
      behind.pop_front();
    }
  }
  for (std::size_t i = 0; i < most_rows_between && !behind.empty(); ++i) {
    const CsvRow& row = behind.front().row;
    if (row.fault != CsvFault::none || !row.has_line_end || !has_only_words(row)) {
      return;
    }
    heading.remarks.push_back(
        {{file, row.line, 0}, "no number in this line below the heading, it is not used"});
    heading.rows.push_back(texts_of(row));
    behind.pop_front();
  }
}

}  // namespace

KeptRow::KeptRow(const CsvRow& original) : row(original) {
  std::size_t size = 0;
  for (const CsvCell& cell : row.cells) {
    size += cell.text.size();
  }
  bytes_ = std::make_unique<char[]>(size);
  char* at = bytes_.get();
  for (CsvCell& cell : row.cells) {
    char* const end = std::copy(cell.text.begin(), cell.text.end(), at);
    cell.text = {at, cell.text.size()};
    at = end;
  }
}

FoundHeading find_table_heading(CsvRows& rows,
                                std::span<const ColumnWish> wishes,
                                const std::filesystem::path& file) {
  const CsvRow* row = rows.next();
  const bool blanks_separate = rows.separator() == ' ';
  // Looked at now, while it is the last comment; used only when no row names what is wanted.
  FoundHeading from_comment = row == nullptr ? FoundHeading{} : heading_from_comment(rows, wishes);
  FoundHeading heading;
  std::size_t best = 0;
  std::size_t best_score = 0;
  std::size_t enough = rows_looked_at;
  std::size_t full_score = 0;
  for (const ColumnWish& wish : wishes) {
    full_score += wish.required ? weight(wish) : 0U;
  }
  for (; row != nullptr; row = heading.rows_behind.size() < enough ? rows.next() : nullptr) {
    heading.rows_behind.emplace_back(*row);
    if (row->fault != CsvFault::none || (full_score > 0 && best_score >= full_score)) {
      continue;
    }
    const std::size_t points = score(read_heading(*row, blanks_separate), wishes);
    if (points > best_score) {
      best_score = points;
      best = heading.rows_behind.size() - 1;
    }
    if (full_score > 0 && points >= full_score) {
      enough = heading.rows_behind.size() + most_rows_between + 2;
    }
  }
  if (best_score == 0 && from_comment.found) {
    from_comment.rows_behind = std::move(heading.rows_behind);
    from_comment.remarks.push_back(
        {{file, from_comment.line, 0}, "heading taken from this comment"});
    take_rows_below(from_comment, file);
    return from_comment;
  }
  if (heading.rows_behind.empty()) {
    return heading;
  }
  heading.found = best_score > 0;
  best = heading.found ? best : guess_heading(heading.rows_behind);
  for (std::size_t i = 0; i < best; ++i) {
    heading.rows.push_back(texts_of(heading.rows_behind.front().row));
    heading.rows_behind.pop_front();
  }
  const CsvRow& names = heading.rows_behind.front().row;
  heading.line = names.line;
  heading.cells = read_heading(names, blanks_separate);
  heading.rows.insert(heading.rows.begin(), texts_of(names));
  heading.rows_behind.pop_front();
  if (best > 0) {
    heading.remarks.push_back(
        {{file, heading.line, 0}, std::to_string(best) + " rows above the heading are not used"});
  }
  take_rows_below(heading, file);
  return heading;
}

}  // namespace sweepflux
