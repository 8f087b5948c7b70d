#include "tests/bench/support/text_table.hpp"

#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <utility>

namespace sweepflux::bench {

std::string fixed(double value, int digits) {
  if (!std::isfinite(value)) {
    return "-";
  }
  std::array<char, 400> buffer{};
  const auto end = std::to_chars(
      buffer.data(), buffer.data() + buffer.size(), value, std::chars_format::fixed, digits);
  return {buffer.data(), end.ptr};
}

std::string per_cent(double share, int digits) { return fixed(100.0 * share, digits); }

std::string exactly(double value) {
  std::array<char, 32> buffer{};
  const auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), value);
  return {buffer.data(), end.ptr};
}

TextTable::TextTable(std::vector<std::string> heading, std::size_t left) : left_(left) {
  rows_.push_back(std::move(heading));
}

void TextTable::add(std::vector<std::string> row) { rows_.push_back(std::move(row)); }

std::string TextTable::text() const {
  std::vector<std::size_t> width;
  for (const auto& row : rows_) {
    width.resize(std::max(width.size(), row.size()), 0);
    for (std::size_t i = 0; i < row.size(); ++i) {
      width[i] = std::max(width[i], row[i].size());
    }
  }
  std::string all;
  for (const auto& row : rows_) {
    std::string line;
    for (std::size_t i = 0; i < row.size(); ++i) {
      const std::string gap(width[i] - row[i].size(), ' ');
      line += i < left_ ? row[i] + gap : gap + row[i];
      line += "  ";
    }
    line.erase(line.find_last_not_of(' ') + 1);
    all += line + "\n";
  }
  return all;
}

std::string csv_row(const std::vector<std::string>& cells) {
  std::string row;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    row += i == 0 ? "" : ",";
    if (cells[i].find_first_of(",\"\n") == std::string::npos) {
      row += cells[i];
      continue;
    }
    row += '"';
    for (const char c : cells[i]) {
      row += c == '"' ? "\"\"" : std::string(1, c);
    }
    row += '"';
  }
  return row + "\n";
}

void write_whole_file(const std::string& path, const std::string& content) {
  const std::string temporary = path + ".part";
  std::ofstream out(temporary, std::ios::binary);
  out << content;
  out.close();
  if (!out) {
    throw SystemError("cannot write " + temporary);
  }
  std::filesystem::rename(temporary, path);
}

}  // namespace sweepflux::bench
