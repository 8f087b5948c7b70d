#include "sweepflux/base/nearest_name.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/capture/log/log_columns_private.hpp"
#include "sweepflux/capture/log/measured_cell_private.hpp"
#include "sweepflux/capture/log/usual_headings_private.hpp"

#include <algorithm>
#include <span>
#include <utility>

namespace sweepflux {
namespace {

using Opening = std::vector<std::vector<HeadingCell>>;

struct Wanted {
  const char* what;
  std::string stated;  ///< the user's name for it, or empty
  std::span<const char* const> usual;
  bool required;
  const char* option;  ///< that names it
  std::optional<Dimension> dimension{};  ///< by which it is found where no name is usual
};

/// The unit may be all that stands in a heading: "m/s" is no m in seconds.
const std::string& unit_in(const HeadingCell& cell) {
  return find_unit(cell.text) ? cell.text : cell.unit;
}

/// Finds columns in the heading, and keeps what is wrong for one report.
class ColumnFinder {
 public:
  ColumnFinder(const std::filesystem::path& file, const Opening& opening)
      : file_(file), opening_(opening) {}

  /// The first row with the value's column is the heading.
  void choose_heading(const Wanted& value) {
    for (row_ = 0; row_ < opening_.size(); ++row_) {
      if (!named(value).empty()) {
        return;
      }
    }
    row_ = 0;
    std::size_t most = 0;
    for (std::size_t r = 0; r < opening_.size(); ++r) {
      if (opening_[r].size() > most) {
        most = opening_[r].size();
        row_ = r;
      }
    }
  }

  [[nodiscard]] std::optional<std::size_t> find(const Wanted& wanted) {
    const std::vector<std::size_t> found = candidates(wanted);
    if (found.size() == 1) {
      return found.front();
    }
    if (found.size() > 1 && (wanted.required || !wanted.stated.empty())) {
      fault(heading()[found[1]].column,
            std::string("more than one column could be the ") + wanted.what + ": " + names(found) +
                "; name the one that is meant");
      return std::nullopt;
    }
    if (!wanted.stated.empty()) {
      const std::vector<std::string> all = all_names();
      std::vector<std::string> bare;
      for (const HeadingCell& cell : heading()) {
        bare.push_back(cell.name);
      }
      fault(1,
            "no column is called " + in_backticks(wanted.stated) +
                did_you_mean(wanted.stated, bare) + "; the names found are " + listed(all));
    } else if (wanted.required) {
      fault(1,
            std::string("no column for the ") + wanted.what + " was found; the names found are " +
                listed(all_names()) + "; say which one it is, with " + wanted.option);
    }
    return std::nullopt;
  }

  /// Unit of a column: stated, in the heading, in a row of units below it, or in its first cell.
  [[nodiscard]] UnitScale unit(std::size_t column,
                               const std::string& stated,
                               const CsvRow& first_data,
                               Dimension wanted,
                               const char* what,
                               const char* option) {
    std::string text = stated;
    if (text.empty()) {
      text = unit_in(heading()[column]);
    }
    if (text.empty() && row_ + 1 < opening_.size() && column < opening_[row_ + 1].size()) {
      text = opening_[row_ + 1][column].text;
    }
    if (text.empty() && column < first_data.cells.size()) {
      text = split_measured_cell(first_data.cells[column].text).unit;
    }
    const auto scale = find_unit(text);
    if (scale && scale->dimension == wanted) {
      return *scale;
    }
    fault(heading()[column].column,
          (text.empty() ? std::string("the ") + what + " has no unit"
                        : in_backticks(text) + " is no unit for the " + what) +
              "; write it as `" + printable(heading()[column].name) +
              " [unit]` or state it, with " + option + "; allowed are " + accepted_units(wanted) +
              (wanted == Dimension::angle ? ", steps (of the motor)" : ""));
    return {wanted, 1.0, 0.0, false};
  }

  /// The same for the position, which may be in steps of the motor.
  [[nodiscard]] UnitScale position_unit(std::size_t column,
                                        const LogFormat& format,
                                        const CsvRow& first_data) {
    const bool is_angle = format.motion == Motion::swivel;
    const Dimension wanted = is_angle ? Dimension::angle : Dimension::length;
    const std::string& stated = format.position_unit;
    if (!is_step_unit(stated.empty() ? heading()[column].unit : stated)) {
      return unit(column,
                  stated,
                  first_data,
                  wanted,
                  is_angle ? "angle" : "position across",
                  "--angle-unit (angle_unit)");
    }
    if (!format.motor_step) {
      fault(
          heading()[column].column,
          in_backticks(heading()[column].text) +
              " is in steps of the motor; say how large one is, with --motor-step, or under [rig] "
              "of the survey");
    }
    return {wanted, format.motor_step.value_or(1.0), 0.0, false};
  }

  [[nodiscard]] std::size_t row() const { return row_; }
  [[nodiscard]] std::vector<Finding>& findings() { return findings_; }

 private:
  [[nodiscard]] const std::vector<HeadingCell>& heading() const { return opening_[row_]; }

  [[nodiscard]] std::vector<std::size_t> named(const Wanted& wanted) const {
    if (!wanted.stated.empty()) {
      return find_heading(heading(), wanted.stated);
    }
    for (const char* name : wanted.usual) {
      std::vector<std::size_t> found = find_heading(heading(), name);
      if (!found.empty()) {
        return found;
      }
    }
    return {};
  }

  /// Whatever the language of a heading, its unit is the same. Of times and angles a log may hold
  /// several, so those are found by name alone.
  [[nodiscard]] std::vector<std::size_t> candidates(const Wanted& wanted) const {
    std::vector<std::size_t> found = named(wanted);
    if (!found.empty() || !wanted.stated.empty() || !wanted.dimension) {
      return found;
    }
    for (std::size_t i = 0; i < heading().size(); ++i) {
      const auto unit = find_unit(unit_in(heading()[i]));
      if (unit && unit->dimension == *wanted.dimension) {
        found.push_back(i);
      }
    }
    return found;
  }

  [[nodiscard]] std::vector<std::string> all_names() const {
    std::vector<std::string> all;
    for (const HeadingCell& cell : heading()) {
      if (!cell.text.empty()) {
        all.push_back(cell.text);
      }
    }
    return all;
  }

  [[nodiscard]] std::string names(const std::vector<std::size_t>& columns) const {
    std::vector<std::string> some;
    for (const std::size_t column : columns) {
      some.push_back(heading()[column].text);
    }
    return listed(some);
  }

  void fault(std::size_t column, std::string text) {
    const std::size_t line = heading().empty() ? 1 : heading().front().line;
    findings_.push_back({{file_, line, column}, std::move(text)});
  }

  const std::filesystem::path& file_;
  const Opening& opening_;
  std::size_t row_ = 0;
  std::vector<Finding> findings_;
};

bool is_number(std::string_view text) {
  return parse_number(text).has_value() || parse_number(text, ',').has_value();
}

}  // namespace

bool looks_like_data(const CsvRow& row, const std::vector<std::string>& columns) {
  const auto has_unit = [](const std::string& column) {
    return !split_heading(column).unit.empty();
  };
  const bool with_units = std::any_of(columns.begin(), columns.end(), has_unit);
  std::size_t cells = 0;
  std::size_t known = 0;
  std::size_t numbers = 0;
  for (std::size_t i = 0; i < row.cells.size(); ++i) {
    if (with_units && (i >= columns.size() || !has_unit(columns[i]))) {
      continue;
    }
    const CsvCell& cell = row.cells[i];
    ++cells;
    const MeasuredCell parts = split_measured_cell(cell.text);
    const bool number = is_number(cell.text) || parse_clock(cell.text).has_value() ||
                        (is_number(parts.number) && find_unit(parts.unit).has_value());
    numbers += number ? 1U : 0U;
    known += (number || read_cell_word(cell.text) != CellWord::other) ? 1U : 0U;
  }
  return numbers > 0 && 2 * known >= cells;
}

std::size_t line_end(std::string_view text, std::size_t from) {
  const std::size_t mark = text.find_first_of("\r\n", from);
  if (mark == std::string_view::npos || text[mark] == '\n') {
    return mark == std::string_view::npos ? mark : mark + 1;
  }
  if (mark + 1 == text.size()) {
    return std::string_view::npos;  // its LF may be still to come
  }
  return mark + (text[mark + 1] == '\n' ? 2 : 1);
}

char columns_separator(std::string_view opening,
                       const std::vector<std::string>& columns,
                       bool whole) {
  constexpr std::size_t enough = 3;
  std::size_t most = whole ? 0 : enough - 1;
  char best = '\0';
  const auto count = [&](char separator, bool more_cells) {
    CsvOptions options;
    options.separator = separator;
    std::size_t fitting = 0;
    std::size_t begin = 0;
    for (std::size_t end = line_end(opening, 0); end != std::string::npos;
         end = line_end(opening, begin)) {
      CsvRows rows = CsvRows::over_text(std::string(opening.substr(begin, end - begin)), options);
      const CsvRow* row = rows.next();
      const bool fits = row != nullptr && (row->cells.size() == columns.size() ||
                                           (more_cells && row->cells.size() > columns.size()));
      fitting += fits && looks_like_data(*row, columns) ? 1U : 0U;
      begin = end;
    }
    if (fitting > most) {
      most = fitting;
      best = separator;
    }
  };
  for (const char separator : {'\t', ';', '|', ',', ' '}) {
    count(separator, false);
  }
  if (best == '\0') {
    count(' ', true);
  }
  return best;
}

LogColumns find_log_columns(const std::filesystem::path& file,
                            const LogFormat& format,
                            const std::vector<std::vector<HeadingCell>>& opening,
                            const CsvRow& first_data) {
  if (opening.empty()) {
    throw SurveyError({{{file, first_data.line, 1},
                        "the log starts with data; a heading row such as `time [s],angle "
                        "[deg],speed [m/s]` must stand above it, or be stated as --columns, or "
                        "columns under [log]"}});
  }
  const bool is_force = format.kind == LogKind::force;
  const bool is_angle = format.motion == Motion::swivel;
  const Wanted value = is_force ? Wanted{"scale's reading",
                                         format.value,
                                         usual_forces,
                                         true,
                                         "--value-column (value_column)",
                                         Dimension::force}
                                : Wanted{"speed",
                                         format.value,
                                         usual_speeds,
                                         true,
                                         "--value-column (value_column)",
                                         Dimension::speed};
  ColumnFinder finder(file, opening);
  finder.choose_heading(value);
  LogColumns columns;
  columns.heading_row = finder.row();
  const std::optional<std::size_t> found_value = finder.find(value);
  if (is_force) {
    columns.label =
        finder.find({"label", format.label, usual_labels, false, "--label-column (label_column)"});
    columns.unit = finder.find({"unit", "", usual_units, false, "unit"});
  }
  if (!format.rate_hz) {
    columns.time = finder.find({"time",
                                format.time,
                                usual_times,
                                !format.arrival && !columns.label,
                                is_force ? "--time-column (time_column), or --rate; a table of "
                                           "readings needs their settings instead, with "
                                           "--label-column (label_column)"
                                         : "--time-column (time_column), or --rate"});
  }
  if (!is_force) {
    columns.position =
        is_angle
            ? finder.find(
                  {"angle", format.position, usual_angles, false, "--angle-column (angle_column)"})
            : finder.find({"position across",
                           format.position,
                           usual_acrosses,
                           false,
                           "--angle-column (across_column)"});
  }
  if (found_value) {
    columns.value = *found_value;
    columns.value_scale = columns.unit ? UnitScale{Dimension::force, 1.0, 0.0, false}
                                       : finder.unit(*found_value,
                                                     format.value_unit,
                                                     first_data,
                                                     is_force ? Dimension::force : Dimension::speed,
                                                     is_force ? "scale's reading" : "speed",
                                                     "--value-unit (value_unit)");
  }
  if (columns.position) {
    columns.position_scale = finder.position_unit(*columns.position, format, first_data);
  }
  if (columns.time && *columns.time < first_data.cells.size()) {
    const std::string_view text = first_data.cells[*columns.time].text;
    const bool number = is_number(text);
    columns.time_is_clock = !number && parse_clock(text).has_value();
    columns.time_scale = columns.time_is_clock ? UnitScale{Dimension::time, 1.0, 0.0, false}
                                               : finder.unit(*columns.time,
                                                             format.time_unit,
                                                             first_data,
                                                             Dimension::time,
                                                             "time",
                                                             "--time-unit (time_unit)");
  }
  if (!finder.findings().empty()) {
    throw SurveyError(std::move(finder.findings()));
  }
  return columns;
}

}  // namespace sweepflux
