#include "tests/support/plain_table.hpp"

#include <algorithm>
#include <charconv>
#include <fstream>
#include <limits>
#include <stdexcept>

namespace sweepflux::test {
namespace {

std::vector<std::string> cells(const std::string& line) {
  std::vector<std::string> result(1);
  for (const char c : line) {
    if (c == ',') {
      result.emplace_back();
    } else if (c != '"' && c != '\r') {
      result.back() += c;
    }
  }
  for (std::string& cell : result) {
    const std::size_t first = cell.find_first_not_of(" \t");
    const std::size_t last = cell.find_last_not_of(" \t");
    cell = first == std::string::npos ? "" : cell.substr(first, last - first + 1);
  }
  return result;
}

}  // namespace

std::size_t PlainTable::column(const std::string& name) const {
  const auto found = std::find(names.begin(), names.end(), name);
  if (found == names.end()) {
    throw std::runtime_error("no column " + name);
  }
  return static_cast<std::size_t>(found - names.begin());
}

std::vector<double> PlainTable::numbers(const std::string& name) const {
  const std::size_t wanted = column(name);
  std::vector<double> result;
  for (const auto& row : rows) {
    double value = std::numeric_limits<double>::quiet_NaN();
    const std::string& cell = row.at(wanted);
    const auto end = std::from_chars(cell.data(), cell.data() + cell.size(), value);
    if (end.ec != std::errc{} || end.ptr != cell.data() + cell.size()) {
      value = std::numeric_limits<double>::quiet_NaN();
    }
    result.push_back(value);
  }
  return result;
}

PlainTable read_plain_table(const std::filesystem::path& file) {
  std::ifstream in(file);
  if (!in) {
    throw std::runtime_error("cannot open " + file.string());
  }
  PlainTable table;
  std::string line;
  while (std::getline(in, line)) {
    if (line.empty() || line[0] == '#') {
      continue;
    }
    if (table.names.empty()) {
      table.names = cells(line);
    } else {
      table.rows.push_back(cells(line));
    }
  }
  return table;
}

}  // namespace sweepflux::test
