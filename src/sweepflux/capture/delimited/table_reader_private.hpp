#pragma once

#include "sweepflux/capture/delimited/table.hpp"

#include <deque>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

namespace sweepflux {

/// A row that outlives CsvRows::next.
struct KeptRow {
  explicit KeptRow(const CsvRow& original);
  CsvRow row;

 private:
  std::unique_ptr<char[]> bytes_;  // moving it does not move them
};

/// Where a table's heading was found, and what was read to find it.
struct FoundHeading {
  bool found = false;  ///< some wanted name was in it; else it is a guess, for messages
  std::size_t line = 0;
  std::vector<HeadingCell> cells;
  std::vector<std::string> units;  ///< of the units row, by position; empty: no such row
  std::vector<std::vector<std::string>> rows;  ///< heading first: rows to know again, as written
  std::vector<Finding> remarks;
  std::deque<KeptRow> rows_behind;  ///< read ahead, to be used as readings
};

[[nodiscard]] FoundHeading find_table_heading(CsvRows& rows,
                                              std::span<const ColumnWish> wishes,
                                              const std::filesystem::path& file);

inline constexpr std::size_t most_faults_a_column = 3;  ///< the rest is counted

/// Where the cells of one wanted column go.
struct Filling {
  std::size_t cell = 0;  ///< its place in a row
  std::optional<std::size_t> date_cell;
  ColumnNumbers numbers;
  ClockColumn clock;
  bool decided = false;  ///< number or clock
  std::size_t faults = 0;
  std::size_t last_fault_line = 0;
};

/// What one row gives to one column.
struct Entry {
  double value = ColumnNumbers::none;
  CellWord word = CellWord::other;
  bool is_word = false;
  bool is_moment = false;
};

/// The work behind read_table: one object, one file.
class TableReader {
 public:
  /// @throws InputError  the file cannot be opened
  TableReader(const std::filesystem::path& file,
              std::span<const ColumnWish> wishes,
              const TableOptions& options)
      : file_(file), wishes_(wishes), options_(options), rows_(file, options.csv) {}

  [[nodiscard]] Table read();

 private:
  void judge_text();
  void judge_encoding();
  void choose_columns();
  void choose_column(const ColumnWish& wish, std::size_t cell);
  void report_missing_columns(const std::vector<std::string>& missing);
  void take_row(const CsvRow& row);
  bool is_heading_again(const CsvRow& row);
  bool has_surplus(const CsvRow& row);
  bool may_be_cut(const CsvRow& row) const;
  void settle_short_row(std::size_t next_cells);
  [[nodiscard]] std::string stops_after(std::size_t cells) const;
  bool read_cells(const CsvRow& row);
  bool read_cell(const CsvRow& row, std::size_t index);
  bool read_moment(const CsvRow& row, std::size_t index);
  void refuse_cell(const CsvRow& row, std::size_t index);
  void store(const CsvRow& row);
  void remove_last_row(std::string reason);
  void finish_columns();
  void finish_clock(TableColumn& column, const Filling& filling);

  void drop(std::size_t line, std::string reason) {
    table_.dropped.push_back({line, std::move(reason), false});
  }
  void fault(std::size_t line, std::size_t column, std::string text) {
    table_.faults.push_back({{file_, line, column}, std::move(text)});
  }
  void fault(const HeadingCell& at, std::string text) {
    fault(at.line, at.column, std::move(text));
  }
  void remark(std::size_t line, std::string text) {
    table_.remarks.push_back({{file_, line, 0}, std::move(text)});
  }

  const std::filesystem::path& file_;
  std::span<const ColumnWish> wishes_;
  const TableOptions& options_;
  CsvRows rows_;
  FoundHeading heading_;
  std::vector<Filling> fillings_;
  std::vector<Entry> entries_;
  Table table_;
  unsigned segment_ = 0;
  std::size_t surplus_rows_ = 0;
  std::size_t cells_before_ = 0;                ///< of the row before
  std::optional<std::size_t> short_row_cells_;  ///< the last row stored is short: so many cells
};

}  // namespace sweepflux
