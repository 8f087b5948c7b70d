#include "sweepflux/capture/delimited/table.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/capture/delimited/table_reader_private.hpp"
#include "sweepflux/capture/delimited/text_cell.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace sweepflux {

bool TableReader::is_heading_again(const CsvRow& row) {
  const auto again = std::find_if(
      heading_.rows.begin(), heading_.rows.end(), [&row](const std::vector<std::string>& known) {
        return holds_texts(row, known);
      });
  segment_ += !heading_.rows.empty() && again == heading_.rows.begin() ? 1U : 0U;
  return again != heading_.rows.end();
}

/// Cells beyond the heading that hold something: mostly a decimal comma taken for a separator.
bool TableReader::has_surplus(const CsvRow& row) {
  const std::size_t named = heading_.cells.size();
  const auto first =
      row.cells.begin() + static_cast<std::ptrdiff_t>(std::min(named, row.cells.size()));
  const auto surplus =
      std::find_if(first, row.cells.end(), [](const CsvCell& cell) { return !cell.text.empty(); });
  if (surplus == row.cells.end()) {
    return false;
  }
  if (++surplus_rows_ <= most_faults_a_column) {
    fault(row.line,
          surplus->column,
          std::to_string(row.cells.size()) + " cells, but the heading names " +
              std::to_string(named) + "; with decimal commas the separator must be `;` or a tab");
  }
  return true;
}

/// A last row without line end: true when its last number may have lost digits.
bool TableReader::may_be_cut(const CsvRow& row) const {
  const std::size_t last = row.cells.size() - 1;
  if (row.cells[last].quoted) {
    return row.cells.size() < heading_.cells.size();
  }
  for (const Filling& filling : fillings_) {
    if (filling.cell < last) {
      continue;  // a separator stands behind it
    }
    const std::size_t decimals =
        filling.cell > last ? 0 : ColumnNumbers::decimals(row.cells[last].text);
    if (decimals == 0 || decimals < filling.numbers.most_decimals()) {
      return true;
    }
  }
  return false;
}

void TableReader::remove_last_row(std::string reason) {
  drop(table_.lines.back(), std::move(reason));
  table_.lines.pop_back();
  table_.segments.pop_back();
  for (std::size_t i = 0; i < table_.columns.size(); ++i) {
    TableColumn& column = table_.columns[i];
    column.byte_columns.pop_back();
    if (column.kind == ColumnWish::Kind::label) {
      column.labels.pop_back();
    } else if (column.is_clock) {
      fillings_[i].clock.remove_last();
    } else {
      column.values.pop_back();
    }
  }
  while (!table_.wordy.empty() && table_.wordy.back().row == table_.lines.size()) {
    table_.wordy.pop_back();
  }
}

std::string TableReader::stops_after(std::size_t cells) const {
  return "the row stops after " + std::to_string(cells) + " of " +
         std::to_string(heading_.cells.size()) + " cells";
}

/// A row that stops right behind a wanted number is trusted only when a neighbour stops there too.
void TableReader::settle_short_row(std::size_t next_cells) {
  if (short_row_cells_ && *short_row_cells_ != next_cells) {
    remove_last_row(stops_after(*short_row_cells_) + ", its last number may have lost digits");
  }
  short_row_cells_.reset();
}

void TableReader::take_row(const CsvRow& row) {
  if (is_heading_again(row)) {
    settle_short_row(0);
    return;
  }
  settle_short_row(row.cells.size());
  const std::size_t before = std::exchange(cells_before_, row.cells.size());
  if (row.fault != CsvFault::none) {
    drop(row.line,
         std::string(describe(row.fault)) + " at " + std::to_string(row.line) + ":" +
             std::to_string(row.fault_column));
    return;
  }
  if (!row.has_line_end && may_be_cut(row)) {
    const std::string text = "the file ends in the middle of this row (no line end)";
    drop(row.line, text);
    remark(row.line, text + ", so the row is not used; if it is whole, end the line");
    return;
  }
  std::size_t needed = 0;
  for (const Filling& filling : fillings_) {
    needed = std::max(needed, filling.cell + 1);
  }
  if (row.cells.size() < needed) {
    drop(row.line, stops_after(row.cells.size()));
    return;
  }
  if (has_surplus(row) || !read_cells(row)) {
    return;
  }
  store(row);
  if (row.cells.size() == needed && needed < heading_.cells.size() && before != needed &&
      !row.cells.back().quoted) {
    short_row_cells_ = needed;
  }
}

void TableReader::refuse_cell(const CsvRow& row, std::size_t index) {
  Filling& filling = fillings_[index];
  const std::string_view text = row.cells[filling.cell].text;
  filling.last_fault_line = row.line;
  if (++filling.faults <= most_faults_a_column) {
    const TableColumn& column = table_.columns[index];
    const std::string must_be = column.is_clock ? "a clock time as in the rows before"
                                                : "a plain number; " + number_hint(text);
    fault(row.line,
          row.cells[filling.cell].column,
          column.role + " is " + in_backticks(text) + ", must be " + must_be);
  }
}

/// The first cell that is no word decides whether the column holds numbers or clock times.
bool TableReader::read_moment(const CsvRow& row, std::size_t index) {
  Filling& filling = fillings_[index];
  TableColumn& column = table_.columns[index];
  if (filling.decided && !column.is_clock) {
    return false;
  }
  std::string text(row.cells[filling.cell].text);
  if (filling.date_cell && *filling.date_cell < row.cells.size()) {
    text = std::string(row.cells[*filling.date_cell].text) + " " + text;
  }
  ClockColumn first;
  for (std::size_t i = 0; i < table_.lines.size() && !filling.decided; ++i) {
    first.add_missing();
  }
  // Kept at once: should another column refuse the row, this is taken back.
  Entry& entry = entries_[index];
  entry.is_moment = (filling.decided ? filling.clock : first).add(text);
  if (entry.is_moment && !filling.decided) {
    filling.clock = std::move(first);
    filling.decided = true;
    column.is_clock = true;
    column.values.clear();
  }
  return entry.is_moment;
}

bool TableReader::read_cell(const CsvRow& row, std::size_t index) {
  Filling& filling = fillings_[index];
  TableColumn& column = table_.columns[index];
  Entry& entry = entries_[index];
  entry = {};
  if (column.kind == ColumnWish::Kind::label) {
    return true;
  }
  const std::string_view text = row.cells[filling.cell].text;
  if (column.kind == ColumnWish::Kind::number || !column.is_clock) {
    // The usual case first. A word such as -999 is looked for before any number is made of it.
    const bool declared = !options_.missing_words.empty() &&
                          read_cell_word(text, options_.missing_words) == CellWord::missing;
    entry.value = declared ? ColumnNumbers::none : filling.numbers.read(text, row.line);
    if (!std::isnan(entry.value)) {
      filling.decided = true;
      return true;
    }
  }
  entry.word = read_cell_word(text, options_.missing_words);
  if (entry.word != CellWord::other) {
    entry.is_word = true;
    return true;
  }
  return column.kind == ColumnWish::Kind::moment && read_moment(row, index);
}

bool TableReader::read_cells(const CsvRow& row) {
  entries_.resize(fillings_.size());
  bool good = true;
  for (std::size_t i = 0; i < fillings_.size(); ++i) {
    if (!read_cell(row, i)) {
      refuse_cell(row, i);
      good = false;
    }
  }
  for (std::size_t i = 0; i < fillings_.size() && !good; ++i) {
    if (entries_[i].is_moment) {
      fillings_[i].clock.remove_last();
    }
  }
  return good;
}

void TableReader::store(const CsvRow& row) {
  for (std::size_t i = 0; i < fillings_.size(); ++i) {
    TableColumn& column = table_.columns[i];
    const CsvCell& cell = row.cells[fillings_[i].cell];
    column.byte_columns.push_back(static_cast<std::uint32_t>(cell.column));
    const Entry& entry = entries_[i];
    if (entry.is_word) {
      table_.wordy.push_back({table_.lines.size(), i, entry.word, std::string(cell.text)});
    }
    if (column.kind == ColumnWish::Kind::label) {
      column.labels.push_back(as_utf8(read_text_cell(cell.text)));
    } else if (column.kind == ColumnWish::Kind::moment && !entry.is_moment && column.is_clock) {
      fillings_[i].clock.add_missing();
    } else if (!column.is_clock) {
      column.values.push_back(entry.value);
    }
  }
  table_.lines.push_back(row.line);
  table_.segments.push_back(segment_);
}

Table TableReader::read() {
  table_.opened = true;
  judge_text();
  if (table_.faults.empty()) {
    heading_ = find_table_heading(rows_, wishes_, file_);
    choose_columns();
  }
  if (!table_.faults.empty()) {
    return std::move(table_);  // what stands in the cells cannot be judged then
  }
  for (const KeptRow& kept : heading_.rows_behind) {
    take_row(kept.row);
  }
  heading_.rows_behind.clear();
  while (const CsvRow* row = rows_.next()) {
    take_row(*row);
  }
  settle_short_row(0);
  finish_columns();
  return std::move(table_);
}

const TableColumn* Table::find(std::string_view role) const {
  const auto found = std::find_if(
      columns.begin(), columns.end(), [role](const auto& column) { return column.role == role; });
  return found == columns.end() ? nullptr : &*found;
}

Table read_table(const std::filesystem::path& file,
                 std::span<const ColumnWish> wishes,
                 const TableOptions& options) {
  try {
    return TableReader(file, wishes, options).read();
  } catch (const InputError& error) {
    Table table;
    table.faults.push_back({{file, 0, 0}, error.what()});
    return table;
  }
}

}  // namespace sweepflux
