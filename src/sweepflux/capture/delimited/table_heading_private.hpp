#pragma once

#include "sweepflux/capture/delimited/table.hpp"

#include <deque>
#include <span>
#include <string>
#include <vector>

namespace sweepflux {

/// A row that outlives CsvRows::next.
struct KeptRow {
  explicit KeptRow(const CsvRow& original);
  KeptRow(KeptRow&&) = default;
  KeptRow& operator=(KeptRow&&) = default;
  KeptRow(const KeptRow&) = delete;
  KeptRow& operator=(const KeptRow&) = delete;
  ~KeptRow() = default;

  CsvRow row;

 private:
  std::vector<char> bytes_;  // a vector, not a string: moving it does not move the bytes
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

}  // namespace sweepflux
