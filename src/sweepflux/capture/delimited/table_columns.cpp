#include "sweepflux/base/nearest_name.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/delimited/table_reader_private.hpp"

#include <algorithm>
#include <string_view>
#include <utility>

namespace sweepflux {
namespace {

bool mean_the_same(std::string_view unit, std::string_view other) {
  return is_step_unit(unit) || is_step_unit(other) ? is_step_unit(unit) == is_step_unit(other)
                                                   : find_unit(unit) == find_unit(other);
}

}  // namespace

/// Says so when the file is none that a table could be in.
void TableReader::judge_text() {
  const std::string_view sample = rows_.sample();
  const auto strange = std::count_if(sample.begin(), sample.end(), [](char c) {
    return c > 0 && c < ' ' && c != '\t' && c != '\r' && c != '\n' && c != '\x1A';
  });
  if (sample.starts_with("PK\x03\x04")) {
    fault(0, 0, "this is a spreadsheet or archive, not CSV; export the sheet as CSV");
  } else if (static_cast<std::size_t>(strange) * 100 > sample.size()) {
    fault(0, 0, "this is no text file; a CSV with a heading row is needed");
  }
}

void TableReader::judge_encoding() {
  std::string_view sample = rows_.sample();
  if (sample.size() >= 1U << 15U) {
    sample = sample.substr(0, sample.find_last_of("\r\n"));  // not in the middle of a letter
  }
  if (!is_utf8(sample)) {
    remark(0, "not UTF-8, read as Latin-1");
  }
}

void TableReader::report_missing_columns(const std::vector<std::string>& missing) {
  std::vector<std::string> present;
  std::vector<std::string> names;
  bool all_numbers = true;
  for (const HeadingCell& cell : table_.headings) {
    names.push_back(cell.name);
    if (!cell.text.empty()) {
      present.push_back(cell.text);
      all_numbers = all_numbers && parse_number(cell.text).has_value();
    }
  }
  if (all_numbers) {
    fault(heading_.line,
          0,
          "a number stands where the heading row must be, such as `angle [deg],speed [m/s]`");
    return;
  }
  std::string hints;
  for (const std::string& name : missing) {
    if (const std::optional<std::string> nearest = nearest_name(name, names)) {
      hints += " (is it " + in_backticks(*nearest) + "?)";
    }
  }
  fault(heading_.line,
        0,
        "no column " + listed(missing) + hints + "; found " + listed(present) +
            "; rename it, or say under [columns] which one it is");
}

void TableReader::choose_column(const ColumnWish& wish, std::size_t cell) {
  TableColumn column;
  column.role = wish.role;
  column.kind = wish.kind;
  column.heading = heading_.cells[cell];
  column.unit = column.heading.unit;
  if (cell < heading_.units.size() && column.unit.empty() && heading_.units[cell] != "-") {
    column.unit = as_utf8(heading_.units[cell]);
  }
  const bool is_known = find_unit(column.unit) || is_step_unit(column.unit);
  if (!wish.unit.empty() && !is_known) {
    column.unit = wish.unit;
  } else if (!wish.unit.empty() && !mean_the_same(column.unit, wish.unit)) {
    fault(column.heading,
          "column " + in_backticks(column.heading.text) + " states the unit " +
              in_backticks(column.unit) + ", the survey says " + in_backticks(wish.unit) +
              "; keep one of them");
  }
  table_.columns.push_back(std::move(column));
  Filling filling;
  filling.cell = cell;
  if (wish.kind == ColumnWish::Kind::moment) {
    const std::vector<std::size_t> dates =
        find_heading(heading_.cells, wish.date_heading.empty() ? "date" : wish.date_heading);
    if (dates.size() == 1 && dates.front() != cell) {
      filling.date_cell = dates.front();
    }
  }
  fillings_.push_back(std::move(filling));
}

void TableReader::choose_columns() {
  if (heading_.cells.empty()) {
    fault(
        0, 0, "holds no row; a heading such as `angle [deg],speed [m/s]` and readings are needed");
    return;
  }
  judge_encoding();
  table_.remarks.insert(table_.remarks.end(), heading_.remarks.begin(), heading_.remarks.end());
  table_.headings = heading_.cells;
  std::vector<std::string> missing;
  for (const ColumnWish& wish : wishes_) {
    const std::string& wanted = wish.wanted();
    const std::vector<std::size_t> found = find_heading(heading_.cells, wanted);
    if (found.size() > 1) {
      fault(heading_.line,
            heading_.cells[found[1]].column,
            "two columns are called " + in_backticks(wanted) + ", " + wish.role +
                " must be one; rename the other, or say under [columns] which it is");
    }
    if (!found.empty()) {
      choose_column(wish, found.front());
    } else if (wish.required) {
      missing.push_back(wanted);
    } else if (!wish.heading.empty()) {
      remark(heading_.line, "no column " + in_backticks(wanted) + ", so no " + wish.role);
    }
  }
  if (!missing.empty()) {
    report_missing_columns(missing);
  }
}

/// Turns the clock times into seconds, once the order of day and month is known.
void TableReader::finish_clock(TableColumn& column, const Filling& filling) {
  ClockColumn::Result result = filling.clock.finish(options_.date_order);
  const std::string name = "column " + in_backticks(column.heading.text);
  if (result.impossible) {
    fault(column.heading,
          "the dates of " + name +
              " fit neither day first nor month first; correct them, or the date_order under "
              "[columns]");
  } else if (result.undecided) {
    fault(column.heading,
          "the dates of " + name +
              " may start with the day or with the month; say date_order = \"day-first\" or "
              "\"month-first\" under [columns]");
  } else if (result.goes_back) {
    remark(table_.lines[result.first_backward_row],
           "the clock of " + name + " goes back here; the order of the file is kept");
  }
  column.values = std::move(result.seconds);
  column.values.resize(table_.lines.size(), ColumnNumbers::none);
}

void TableReader::finish_columns() {
  for (std::size_t i = 0; i < fillings_.size(); ++i) {
    const Filling& filling = fillings_[i];
    TableColumn& column = table_.columns[i];
    const std::string name = in_backticks(column.heading.text);
    if (filling.faults > most_faults_a_column) {
      fault(filling.last_fault_line,
            0,
            "column " + name + ": " + std::to_string(filling.faults - most_faults_a_column) +
                " more such cells, the last in this line");
    }
    if (filling.numbers.mixes_marks()) {
      const std::size_t comma = filling.numbers.first_comma_line();
      const std::size_t point = filling.numbers.first_point_line();
      fault(std::max(comma, point),
            0,
            "column " + name + " has a decimal comma in line " + std::to_string(comma) +
                " and a decimal point in line " + std::to_string(point) +
                "; a column must keep to one mark");
    }
    if (column.is_clock) {
      finish_clock(column, filling);
    }
  }
  if (surplus_rows_ > most_faults_a_column) {
    fault(0,
          0,
          std::to_string(surplus_rows_ - most_faults_a_column) +
              " more rows with more cells than the heading");
  }
}

}  // namespace sweepflux
