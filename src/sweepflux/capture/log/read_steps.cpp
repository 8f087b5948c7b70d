#include "sweepflux/capture/log/read_steps.hpp"

#include "sweepflux/base/nearest_name.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/delimited/csv_rows.hpp"
#include "sweepflux/capture/delimited/heading.hpp"

#include <array>
#include <optional>
#include <string>

namespace sweepflux {
namespace {

struct Column {
  const char* name;
  Dimension dimension;
  bool required;
  std::optional<std::size_t> at;
  double factor = 1.0;
};

std::array<Column, 4> find_columns(const CsvRow& row,
                                   const std::filesystem::path& file,
                                   Motion motion,
                                   std::vector<Finding>& findings) {
  const bool swivel = motion == Motion::swivel;
  std::array<Column, 4> columns = {
      Column{swivel ? "angle" : "across", swivel ? Dimension::angle : Dimension::length, true, {}},
      Column{"time", Dimension::time, true, {}},
      Column{"dwell", Dimension::time, true, {}},
      Column{"settle", Dimension::time, false, {}}};
  std::vector<HeadingCell> heading;
  std::vector<std::string> names;
  for (const CsvCell& cell : row.cells) {
    heading.push_back(split_heading(as_utf8(cell.text)));
    names.push_back(heading.back().text);
  }
  for (Column& column : columns) {
    const std::vector<std::size_t> found = find_heading(heading, column.name);
    if (found.size() != 1) {
      if (column.required || found.size() > 1) {
        findings.push_back({{file, row.line, 1},
                            std::string(found.empty() ? "no" : "more than one") + " column `" +
                                column.name + "` in the list of stops; the names found are " +
                                listed(names)});
      }
      continue;
    }
    const auto scale = find_unit(heading[found[0]].unit);
    if (!scale || scale->dimension != column.dimension) {
      findings.push_back({{file, row.line, row.cells[found[0]].column},
                          std::string("`") + column.name + "` needs a unit, as `" + column.name +
                              " [unit]`; allowed are " + accepted_units(column.dimension)});
      continue;
    }
    column.at = found[0];
    column.factor = scale->factor;
  }
  return columns;
}

}  // namespace

std::vector<StepRow> read_steps(const std::filesystem::path& file, Motion motion) {
  CsvRows rows(file);
  std::vector<Finding> findings;
  std::vector<StepRow> steps;
  const CsvRow* row = rows.next();
  if (row == nullptr) {
    throw SurveyError({{{file, 0, 0}, "the list of stops is empty"}});
  }
  const std::array<Column, 4> columns = find_columns(*row, file, motion, findings);
  if (!findings.empty()) {
    throw SurveyError(std::move(findings));
  }
  double last_s = -1e300;
  while ((row = rows.next()) != nullptr && findings.size() < 50) {
    std::array<double, 4> values{};
    bool good = true;
    for (std::size_t i = 0; i < columns.size(); ++i) {
      if (!columns[i].at) {
        continue;
      }
      const bool there = *columns[i].at < row->cells.size();
      const std::string_view text = there ? row->cells[*columns[i].at].text : std::string_view{};
      const std::optional<double> number = parse_number(text);
      if (!number) {
        findings.push_back({{file, row->line, there ? row->cells[*columns[i].at].column : 1},
                            in_backticks(text) + " is no number for `" + columns[i].name + "`"});
        good = false;
        continue;
      }
      values[i] = *number * columns[i].factor;
    }
    if (good && !(values[1] > last_s && values[2] > 0.0 && values[3] >= 0.0)) {
      findings.push_back({{file, row->line, 1},
                          "times of stops must rise, dwells must be > 0 s and settling >= 0 s"});
    }
    last_s = values[1];
    steps.push_back({values[0], values[1], values[3], values[2]});
  }
  if (findings.empty() && steps.empty()) {
    findings.push_back({{file, 0, 0}, "the list of stops has a heading but no stop"});
  }
  if (!findings.empty()) {
    throw SurveyError(std::move(findings));
  }
  return steps;
}

}  // namespace sweepflux
