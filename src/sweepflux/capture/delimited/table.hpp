#pragma once

#include "sweepflux/capture/delimited/cell_text.hpp"
#include "sweepflux/capture/delimited/clock_text.hpp"
#include "sweepflux/capture/delimited/csv_rows.hpp"
#include "sweepflux/capture/delimited/heading.hpp"
#include "sweepflux/base/finding.hpp"

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace sweepflux {

/// A column that is wanted of a table.
struct ColumnWish {
  enum class Kind {
    number,
    label,  ///< text as it stands
    moment  ///< a number, or clock times (also with the date in a column of its own)
  };
  std::string role;     ///< what the caller calls it: "speed"
  std::string heading;  ///< what the file calls it, with or without unit; empty: as the role
  std::string unit;     ///< where the file states none; empty: none known
  Kind kind = Kind::number;
  bool required = false;
  std::string date_heading;  ///< moment: column with the date; empty: "date"

  [[nodiscard]] const std::string& wanted() const { return heading.empty() ? role : heading; }
};

struct TableOptions {
  std::vector<std::string> missing_words;  ///< besides the usual ones: "-999"
  DateOrder date_order = DateOrder::found;
  CsvOptions csv;
};

/// One column that was found. `values`, `labels` and `byte_columns` have an entry a row.
struct TableColumn {
  std::string role;
  ColumnWish::Kind kind = ColumnWish::Kind::number;
  HeadingCell heading;
  std::string unit;            ///< as written in heading, units row or wish; empty: none
  bool is_clock = false;       ///< values are seconds whatever the unit
  std::vector<double> values;  ///< as written, units not yet applied; NaN: see `wordy`
  std::vector<std::string> labels;
  std::vector<std::uint32_t> byte_columns;
};

/// A cell of a number column that holds a word instead.
struct WordyCell {
  std::size_t row = 0;
  std::size_t column = 0;  ///< index into Table::columns
  CellWord word = CellWord::missing;
  std::string text;
};

/// The wanted columns of one CSV, and everything that was not used, by name.
struct Table {
  bool opened = false;  ///< false: the one fault says why the file cannot be read at all
  std::vector<TableColumn> columns;   ///< in the order of the wishes; those not found are absent
  std::vector<std::size_t> lines;     ///< physical line of each row
  std::vector<unsigned> segments;     ///< of each row: goes up where the heading comes again
  std::vector<WordyCell> wordy;       ///< by row
  std::vector<LeftOut> dropped;       ///< rows that cannot be trusted: NUL bytes, cut, ...
  std::vector<HeadingCell> headings;  ///< all, wanted or not
  std::vector<Finding> faults;        ///< any of them: the table must not be used
  std::vector<Finding> remarks;

  /// nullptr when the role was not found.
  [[nodiscard]] const TableColumn* find(std::string_view role) const;
};

/// Reads the wanted columns of a CSV; other columns are never judged. Memory grows with the wanted
/// cells only. The heading is the first row (of the first 64) that names most of what is wanted;
/// rows above it and a units row below it are understood, and a heading that comes again.
/// A last row without line end is used only when its last wanted number cannot have been cut.
///
/// @throws SystemError  the disk fails; every other fault is in Table::faults
[[nodiscard]] Table read_table(const std::filesystem::path& file,
                               std::span<const ColumnWish> wishes,
                               const TableOptions& options = {});

}  // namespace sweepflux
