#pragma once

#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/delimited/cell_text.hpp"
#include "sweepflux/capture/delimited/clock_text.hpp"
#include "sweepflux/capture/delimited/heading.hpp"
#include "sweepflux/capture/log/read_log.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace sweepflux {

/// Where a log keeps what, and in which units.
struct LogColumns {
  std::size_t heading_row = 0;  ///< index into the opening rows
  std::optional<std::size_t> time;
  bool time_is_clock = false;
  UnitScale time_scale;
  std::optional<std::size_t> position;
  UnitScale position_scale;
  std::size_t value = 0;
  UnitScale value_scale;
  std::optional<std::size_t> label;
  std::optional<std::size_t> unit;  ///< the value's unit, row by row
};

/// A cell as instruments send it: `0,39 m/s`, `+ 12 g ST`, `ST,GS,+ 12.3 g`.
struct MeasuredCell {
  std::string number;  ///< with its sign drawn to it; empty: there is none
  std::string unit;    ///< the word behind it; empty: none
};

/// Takes number and unit apart. Words of letters before the number, and anything from the second
/// word behind it on, are status and passed over.
[[nodiscard]] MeasuredCell split_measured_cell(std::string_view text);

/// True when half of the cells or more are numbers, times, or words for "no value".
///
/// @param columns  headings that are stated; then of the cells under a heading with a unit, if any
///                 has one: a scale may send "ST,GS,+ 96.4 g"
[[nodiscard]] bool looks_like_data(const CsvRow& row, const std::vector<std::string>& columns = {});

inline constexpr std::size_t opening_bytes = 4096;  // enough to tell the separator from

/// Behind the first line end at or after `from`: LF, CR LF, or CR alone; npos: none that is whole.
[[nodiscard]] std::size_t line_end(std::string_view text, std::size_t from);

/// Calls `take(line)` with each whole line, its end included.
///
/// @return where the rest begins, which has no line end yet
template <typename Take>
std::size_t for_each_line(std::string_view text, Take take) {
  std::size_t begin = 0;
  for (std::size_t end = line_end(text, 0); end != text.npos; end = line_end(text, begin)) {
    take(text.substr(begin, end - begin));
    begin = end;
  }
  return begin;
}

/// The separator that parts most of the lines into as many cells as headings are stated; with
/// blanks a row may have more, such as a unit and a status. What comes before such lines may be
/// anything.
///
/// @param whole  no more will come; else three lines must be at one
/// @return '\0': none does
[[nodiscard]] char columns_separator(std::string_view opening,
                                     const std::vector<std::string>& columns,
                                     bool whole);

/// Finds the heading among the rows above the data, and the columns in it.
///
/// @param opening     the rows before the first row of data
/// @param first_data  tells whether times are seconds or clock times
/// @throws SurveyError  with all that is wrong at once
[[nodiscard]] LogColumns find_log_columns(const std::filesystem::path& file,
                                          const LogFormat& format,
                                          const std::vector<std::vector<HeadingCell>>& opening,
                                          const CsvRow& first_data);

/// Turns clock times into seconds, row by row. An order of day and month that the dates do not
/// tell only matters once the date changes; then the order that makes the smaller step is taken.
class ClockFollower {
 public:
  /// @return seconds since the midnight before the first row; NaN when the text is no moment
  [[nodiscard]] double read(std::string_view text, DateOrder stated);

 private:
  std::optional<long> first_day_[2];  ///< if day first, if month first
  std::string date_text_;             ///< of the last row, not parsed again while it stays
  long day_ = 0;
  double last_ = 0.0;
  bool started_ = false;
  std::optional<int> order_;
};

}  // namespace sweepflux
