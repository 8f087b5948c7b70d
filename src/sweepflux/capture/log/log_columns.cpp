#include "sweepflux/base/nearest_name.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/capture/log/log_columns_private.hpp"

#include <algorithm>
#include <utility>

namespace sweepflux {
namespace {

using Opening = std::vector<std::vector<HeadingCell>>;

// What loggers call their columns, in lower case where the letters are ASCII, `|` between the
// names. Common practice, no published source. A speed or force in another language is found by its
// unit; else an option names the column.
constexpr std::string_view usual_times =
    "time|timestamp|t|clock|date time|datetime|zeit|zeitstempel|uhrzeit|temps|heure|tiempo|hora|"
    "tempo|ora|tijd|horodatage|tid|czas";
constexpr std::string_view usual_angles =
    "angle|swivel|swivel angle|winkel|ángulo|Ángulo|angulo|ângulo|Ângulo|angolo|hoek|vinkel|kąt";
constexpr std::string_view usual_acrosses = "across|y";
constexpr std::string_view usual_speeds =
    "speed|velocity|wind speed|air speed|geschwindigkeit|vitesse|velocidad|velocidade|velocita|"
    "velocità|snelheid|air velocity|vitesse de l'air|hastighet|prędkość";
constexpr std::string_view usual_forces =
    "reading|force|weight|mass|scale|balance|kraft|gewicht|poids|peso|masse|thrust|schub|poussée|"
    "empuje|spinta|stuwkracht";
constexpr std::string_view usual_labels =
    "label|setting|fan|state|fan speed|level|stufe|einstellung|zustand|réglage|état|nivel|estado|"
    "livello|stato|stand";
constexpr std::string_view usual_units = "unit|einheit|unité|unidad|unità|eenheid";

struct Wanted {
  const char* what;
  std::string stated;  ///< the user's name for it, or empty
  std::string_view usual;
  const char* option = nullptr;          ///< that names it; null: it may be missing
  std::optional<Dimension> dimension{};  ///< by which it is found where no name is usual
};

/// The unit may be all that stands in a heading: "m/s" is no m in seconds.
const std::string& unit_in(const HeadingCell& cell) {
  return find_unit(cell.text) ? cell.text : cell.unit;
}

/// Finds columns in the heading, and keeps what is wrong for one report.
class ColumnFinder {
 public:
  ColumnFinder(const std::filesystem::path& file, const Opening& opening, const CsvRow& first_data)
      : file_(file), opening_(opening), first_data_(first_data) {}

  /// The first row with the value's column is the heading.
  void choose_heading(const Wanted& value) {
    for (row_ = 0; row_ < opening_.size(); ++row_) {
      if (!named(value).empty()) {
        return;
      }
    }
    const auto fewer = [](const auto& a, const auto& b) { return a.size() < b.size(); };
    const auto longest = std::max_element(opening_.begin(), opening_.end(), fewer);
    row_ = static_cast<std::size_t>(longest - opening_.begin());
  }

  [[nodiscard]] std::optional<std::size_t> find(const Wanted& wanted) {
    const std::vector<std::size_t> found = candidates(wanted);
    if (found.size() == 1) {
      return found.front();
    }
    const bool required = wanted.option != nullptr;
    if (!required && wanted.stated.empty()) {
      return std::nullopt;
    }
    const std::string what = wanted.what;
    std::vector<std::string> several;
    for (const std::size_t column : found) {
      several.push_back(heading()[column].text);
    }
    std::vector<std::string> all;
    std::vector<std::string> bare;
    for (const HeadingCell& cell : heading()) {
      bare.push_back(cell.name);
      if (!cell.text.empty()) {
        all.push_back(cell.text);
      }
    }
    if (!several.empty()) {
      fault(heading()[found[1]].column,
            "more than one column could be the " + what + ": " + listed(several) +
                "; name the one that is meant");
    } else if (!wanted.stated.empty()) {
      fault(1,
            "no column is called " + in_backticks(wanted.stated) +
                did_you_mean(wanted.stated, bare) + "; the names found are " + listed(all));
    } else {
      fault(1,
            "no column for the " + what + " was found; the names found are " + listed(all) +
                "; say which one it is, with " + wanted.option);
    }
    return std::nullopt;
  }

  /// Unit of a column: stated, in the heading, in a row of units below it, or in its first cell.
  [[nodiscard]] UnitScale unit(std::size_t column,
                               const std::string& stated,
                               Dimension wanted,
                               const std::string& what,
                               const char* option) {
    std::string text = stated;
    if (text.empty()) {
      text = unit_in(heading()[column]);
    }
    if (text.empty() && row_ + 1 < opening_.size() && column < opening_[row_ + 1].size()) {
      text = opening_[row_ + 1][column].text;
    }
    if (text.empty() && column < first_data_.cells.size()) {
      text = split_measured_cell(first_data_.cells[column].text).unit;
    }
    const auto scale = find_unit(text);
    if (scale && scale->dimension == wanted) {
      return *scale;
    }
    fault(heading()[column].column,
          (text.empty() ? "the " + what + " has no unit"
                        : in_backticks(text) + " is no unit for the " + what) +
              "; write it as `" + printable(heading()[column].name) +
              " [unit]` or state it, with " + option + "; allowed are " + accepted_units(wanted) +
              (wanted == Dimension::angle ? ", steps (of the motor)" : ""));
    return {wanted};
  }

  /// The same for the position, which may be in steps of the motor.
  [[nodiscard]] UnitScale position_unit(std::size_t column, const LogFormat& format) {
    const bool is_angle = format.motion == Motion::swivel;
    const Dimension wanted = is_angle ? Dimension::angle : Dimension::length;
    const std::string& stated = format.position_unit;
    if (!is_step_unit(stated.empty() ? heading()[column].unit : stated)) {
      const char* const what = is_angle ? "angle" : "position across";
      return unit(column, stated, wanted, what, "--angle-unit (angle_unit)");
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
    for (const std::string_view name : parts_of(wanted.usual, '|')) {
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

  void fault(std::size_t column, std::string text) {
    const std::size_t line = heading().empty() ? 1 : heading().front().line;
    findings_.push_back({{file_, line, column}, std::move(text)});
  }

  const std::filesystem::path& file_;
  const Opening& opening_;
  const CsvRow& first_data_;
  std::size_t row_ = 0;
  std::vector<Finding> findings_;
};

bool is_number(std::string_view text) {
  return parse_number(text).has_value() || parse_number(text, ',').has_value();
}

constexpr std::string_view blanks = " \t";
constexpr std::string_view decimal_digits = "0123456789";

bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }

/// The next word, taken off the front.
std::string_view take_word(std::string_view& text) {
  text.remove_prefix(std::min(text.find_first_not_of(blanks), text.size()));
  const std::string_view word = text.substr(0, text.find_first_of(blanks));
  text.remove_prefix(word.size());
  return word;
}

}  // namespace

MeasuredCell split_measured_cell(std::string_view text) {
  const std::size_t begin = std::min(text.find_first_of("+-.0123456789"), text.size());
  const std::string_view status = text.substr(0, begin);
  const bool is_status = std::all_of(status.begin(), status.end(), [](char c) {
    return is_letter(c) || c == ',' || blanks.find(c) != std::string_view::npos;
  });
  if (!is_status || (!status.empty() && is_letter(status.back()))) {
    return {};
  }
  text.remove_prefix(begin);
  MeasuredCell cell;
  std::string_view word = take_word(text);
  if (word == "+" || word == "-") {
    cell.number = word == "-" ? "-" : "";
    word = take_word(text);
  }
  const std::size_t sign = !word.empty() && (word[0] == '+' || word[0] == '-') ? 1 : 0;
  const std::size_t end = std::min(word.find_first_not_of("0123456789.,", sign), word.size());
  if (word.substr(0, end).find_first_of(decimal_digits) == std::string_view::npos) {
    return {};
  }
  cell.number += word.substr(0, end);
  cell.unit = end < word.size() ? word.substr(end) : take_word(text);
  return cell;
}

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
    for_each_line(opening, [&](std::string_view line) {
      CsvRows rows = CsvRows::over_text(std::string(line), options);
      const CsvRow* row = rows.next();
      const bool fits = row != nullptr && (row->cells.size() == columns.size() ||
                                           (more_cells && row->cells.size() > columns.size()));
      fitting += fits && looks_like_data(*row, columns) ? 1U : 0U;
    });
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
  const Dimension measured = is_force ? Dimension::force : Dimension::speed;
  const Wanted value{is_force ? "scale's reading" : "speed",
                     format.value,
                     is_force ? usual_forces : usual_speeds,
                     "--value-column (value_column)",
                     measured};
  ColumnFinder finder(file, opening, first_data);
  finder.choose_heading(value);
  LogColumns columns;
  columns.heading_row = finder.row();
  const std::optional<std::size_t> found_value = finder.find(value);
  if (is_force) {
    columns.label = finder.find({"label", format.label, usual_labels});
    columns.unit = finder.find({"unit", "", usual_units});
  }
  if (!format.rate_hz) {
    const char* const option =
        format.arrival || columns.label ? nullptr
        : is_force ? "--time-column (time_column), or --rate; a table of readings needs their "
                     "settings instead, with --label-column (label_column)"
                   : "--time-column (time_column), or --rate";
    columns.time = finder.find({"time", format.time, usual_times, option});
  }
  if (!is_force) {
    columns.position = finder.find({is_angle ? "angle" : "position across",
                                    format.position,
                                    is_angle ? usual_angles : usual_acrosses});
  }
  if (found_value) {
    columns.value = *found_value;
    columns.value_scale = columns.unit ? UnitScale{Dimension::force}
                                       : finder.unit(*found_value,
                                                     format.value_unit,
                                                     measured,
                                                     value.what,
                                                     "--value-unit (value_unit)");
  }
  if (columns.position) {
    columns.position_scale = finder.position_unit(*columns.position, format);
  }
  if (columns.time && *columns.time < first_data.cells.size()) {
    const std::string_view text = first_data.cells[*columns.time].text;
    columns.time_is_clock = !is_number(text) && parse_clock(text).has_value();
    columns.time_scale = columns.time_is_clock ? UnitScale{Dimension::time}
                                               : finder.unit(*columns.time,
                                                             format.time_unit,
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
