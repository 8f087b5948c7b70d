#pragma once

#include "sweepflux/capture/delimited/csv_rows.hpp"

#include <cstddef>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace sweepflux {

/// One cell of a heading row.
struct HeadingCell {
  std::string text;  ///< as in the file, in UTF-8, blanks within made single
  std::string name;  ///< without the unit
  std::string unit;  ///< as written, perhaps one that nobody knows; empty: none
  std::size_t line = 0;
  std::size_t column = 0;
};

/// Takes name and unit of a heading apart: `speed [m/s]`, `speed (m/s)`, `speed_m_s`,
/// `speed / m/s`, `speed, m/s`, `speed m/s`. What stands in square brackets is always the unit;
/// anywhere else only what is one.
[[nodiscard]] HeadingCell split_heading(std::string_view text);

/// The cells of a heading row.
///
/// @param blanks_separate  "speed [m/s]" comes as two cells, which are one heading
[[nodiscard]] std::vector<HeadingCell> read_heading(const CsvRow& row,
                                                    bool blanks_separate = false);

/// How surely a heading is the one that is looked for.
enum class HeadingMatch { none, by_name, by_text };

/// Compares with a name or with a whole heading, unit and all.
[[nodiscard]] HeadingMatch match_heading(const HeadingCell& cell, std::string_view wanted);

/// The cells that match best; more than one is a question to the user.
[[nodiscard]] std::vector<std::size_t> find_heading(std::span<const HeadingCell> heading,
                                                    std::string_view wanted);

/// True when most of the cells that are not empty are units, and none is a number.
[[nodiscard]] bool is_units_row(std::span<const std::string> cells);

}  // namespace sweepflux
