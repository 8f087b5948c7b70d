#pragma once

#include <string>
#include <vector>

namespace sweepflux::bench {

/// `digits` after the point; never locale-dependent; "-" for what is not finite.
[[nodiscard]] std::string fixed(double value, int digits);
/// A share as per cent, without the sign.
[[nodiscard]] std::string per_cent(double share, int digits = 1);
/// Shortest text that reads back the same.
[[nodiscard]] std::string exactly(double value);

/// Rows of text in columns: the first `left` ones aligned left, all others right.
class TextTable {
 public:
  explicit TextTable(std::vector<std::string> heading, std::size_t left = 1);
  void add(std::vector<std::string> row);
  [[nodiscard]] std::string text() const;

 private:
  std::size_t left_;
  std::vector<std::vector<std::string>> rows_;
};

/// Joins cells by commas, in quotes where a cell needs it.
[[nodiscard]] std::string csv_row(const std::vector<std::string>& cells);

/// Writes a whole file under a temporary name and renames it.
void write_whole_file(const std::string& path, const std::string& content);

}  // namespace sweepflux::bench
