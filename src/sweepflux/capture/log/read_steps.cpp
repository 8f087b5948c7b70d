#include "sweepflux/capture/log/read_steps.hpp"

#include "sweepflux/base/nearest_name.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/delimited/csv_rows.hpp"
#include "sweepflux/capture/delimited/heading.hpp"

#include <array>
#include <cmath>
#include <optional>
#include <string>
#include <utility>

namespace sweepflux {
namespace {

struct Column {
  const char* name;
  Dimension dimension;  ///< none: text
  bool required;
  std::optional<std::size_t> at;
  double factor = 1.0;
};

struct StepRole {
  enum : std::size_t { place, time, dwell, settle, distance, height, sweep, count };
};
using StepColumns = std::array<Column, StepRole::count>;
using StepValues = std::array<double, StepRole::count>;

StepColumns find_columns(const CsvRow& row,
                         const std::filesystem::path& file,
                         Motion motion,
                         std::vector<Finding>& findings) {
  const bool swivel = motion == Motion::swivel;
  StepColumns columns = {
      Column{swivel ? "angle" : "across", swivel ? Dimension::angle : Dimension::length, true, {}},
      Column{"time", Dimension::time, true, {}},
      Column{"dwell", Dimension::time, true, {}},
      Column{"settle", Dimension::time, false, {}},
      Column{"distance", Dimension::length, false, {}},
      Column{"height", Dimension::length, false, {}},
      Column{"sweep", Dimension::none, false, {}}};
  const std::vector<HeadingCell> heading = read_heading(row);
  std::vector<std::string> names;
  for (const HeadingCell& cell : heading) {
    names.push_back(cell.text);
  }
  for (Column& column : columns) {
    const std::vector<std::size_t> found = find_heading(heading, column.name);
    const std::string name = std::string("`") + column.name;
    if (found.size() > 1 || (column.required && found.empty())) {
      findings.push_back({{file, row.line, 1},
                          (found.empty() ? "no" : "more than one") + std::string(" column ") +
                              name + "` in the list of stops; the names found are " +
                              listed(names)});
    }
    if (found.size() != 1) {
      continue;
    }
    column.at = found[0];
    const auto scale = find_unit(heading[found[0]].unit);
    if (scale && scale->dimension == column.dimension) {
      column.factor = scale->factor;
    } else if (column.dimension != Dimension::none) {
      findings.push_back({{file, row.line, heading[found[0]].column},
                          name + "` needs a unit, as " + name + " [unit]`; allowed are " +
                              accepted_units(column.dimension)});
    }
  }
  return columns;
}

/// The cell of a column, or nullptr.
const CsvCell* cell_of(const CsvRow& row, const Column& column) {
  return column.at && *column.at < row.cells.size() ? &row.cells[*column.at] : nullptr;
}

/// The row's numbers in SI; nothing when one is at fault, which is reported.
std::optional<StepValues> read_numbers(const CsvRow& row,
                                       const StepColumns& columns,
                                       const std::filesystem::path& file,
                                       std::vector<Finding>& findings) {
  StepValues values{};
  bool good = true;
  for (std::size_t i = 0; i < StepRole::sweep; ++i) {
    if (!columns[i].at) {
      continue;
    }
    const CsvCell* const cell = cell_of(row, columns[i]);
    const std::string_view text = cell != nullptr ? cell->text : std::string_view{};
    const std::optional<double> number = parse_number(text);
    if (!number) {
      findings.push_back({{file, row.line, cell != nullptr ? cell->column : 1},
                          in_backticks(text) + " is no number for `" + columns[i].name + "`"});
      good = false;
    }
    values[i] = number.value_or(0.0) * columns[i].factor;
  }
  return good ? std::optional(values) : std::nullopt;
}

std::string list_name(const StepList& list) {
  std::string name = list.sweep.empty() ? "" : "sweep " + list.sweep;
  for (const std::optional<double>& length : {list.distance_m, list.height_m}) {
    name += length ? (name.empty() ? "" : ", ") + format_number(*length, 4) + " m" : "";
  }
  return name;
}

std::string names_of(const std::vector<StepList>& lists) {
  std::vector<std::string> names;
  for (const StepList& list : lists) {
    names.push_back(list_name(list));
  }
  return listed(names);
}

/// Not known to be elsewhere.
bool is_near(const std::optional<double>& listed_m, const std::optional<double>& wanted_m) {
  constexpr double near_m = 0.006;
  return !listed_m || !wanted_m || std::abs(*listed_m - *wanted_m) <= near_m;
}

}  // namespace

std::vector<StepList> read_steps(const std::filesystem::path& file, Motion motion) {
  CsvRows rows(file);
  std::vector<Finding> findings;
  std::vector<StepList> lists;
  const CsvRow* row = rows.next();
  if (row == nullptr) {
    throw SurveyError({{{file, 0, 0}, "the list of stops is empty"}});
  }
  const StepColumns columns = find_columns(*row, file, motion, findings);
  if (!findings.empty()) {
    throw SurveyError(std::move(findings));
  }
  while ((row = rows.next()) != nullptr && findings.size() < 50) {
    const std::optional<StepValues> values = read_numbers(*row, columns, file, findings);
    const CsvCell* const sweep = cell_of(*row, columns[StepRole::sweep]);
    const std::string name = sweep != nullptr ? as_utf8(sweep->text) : std::string();
    if (lists.empty() || lists.back().sweep != name) {
      StepList& list = lists.emplace_back();
      list.sweep = name;
      if (values && columns[StepRole::distance].at) {
        list.distance_m = (*values)[StepRole::distance];
      }
      if (values && columns[StepRole::height].at) {
        list.height_m = (*values)[StepRole::height];
      }
    }
    if (!values) {
      continue;
    }
    const StepRow stop = {(*values)[StepRole::place],
                          (*values)[StepRole::time],
                          (*values)[StepRole::settle],
                          (*values)[StepRole::dwell]};
    std::vector<StepRow>& stops = lists.back().stops;
    if (!(stops.empty() || stop.start_s > stops.back().start_s) || !(stop.dwell_s > 0.0) ||
        !(stop.settle_s >= 0.0)) {
      findings.push_back({{file, row->line, 1},
                          "times of stops must rise, dwells must be > 0 s and settling >= 0 s"});
    }
    stops.push_back(stop);
  }
  if (findings.empty() && lists.empty()) {
    findings.push_back({{file, 0, 0}, "the list of stops has a heading but no stop"});
  }
  if (!findings.empty()) {
    throw SurveyError(std::move(findings));
  }
  return lists;
}

const StepList& chosen_steps(const std::vector<StepList>& lists,
                             const StepChoice& choice,
                             const std::filesystem::path& file) {
  std::vector<const StepList*> found;
  for (const StepList& list : lists) {
    if ((choice.sweep.empty() || list.sweep == choice.sweep) &&
        is_near(list.distance_m, choice.distance_m) && is_near(list.height_m, choice.height_m)) {
      found.push_back(&list);
    }
  }
  if (found.size() == 1) {
    return *found.front();
  }
  throw InputError(file.string() + ": " +
                   (found.empty() ? "no sweep of the list is the one that is asked for"
                                  : "the list holds " + std::to_string(found.size()) +
                                        " sweeps; say which this is (--sweep, or steps_sweep "
                                        "beside `log`)") +
                   "; there " + (lists.size() == 1 ? "is " : "are ") + names_of(lists));
}

}  // namespace sweepflux
