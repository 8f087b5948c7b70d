#pragma once

#include <cstddef>
#include <filesystem>
#include <string>
#include <vector>

namespace sweepflux::test {

/// A table of other people's data: comma-separated, quotes stripped, blanks around cells dropped.
/// For tests alone; it trusts its file.
struct PlainTable {
  std::vector<std::string> names;
  std::vector<std::vector<std::string>> rows;

  /// @return the column as numbers, not-a-number for cells that are none
  [[nodiscard]] std::vector<double> numbers(const std::string& name) const;
  [[nodiscard]] std::size_t column(const std::string& name) const;
};

/// @throws std::runtime_error  the file cannot be opened
[[nodiscard]] PlainTable read_plain_table(const std::filesystem::path& file);

}  // namespace sweepflux::test
