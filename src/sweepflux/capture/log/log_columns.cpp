#include "sweepflux/base/nearest_name.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/capture/log/log_columns_private.hpp"
#include "sweepflux/capture/log/measured_cell_private.hpp"

#include <array>
#include <charconv>
#include <cmath>
#include <limits>
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
};

constexpr std::array usual_times = {"time",
                                    "timestamp",
                                    "t",
                                    "clock",
                                    "date time",
                                    "datetime",
                                    "zeit",
                                    "zeitstempel",
                                    "uhrzeit",
                                    "temps",
                                    "heure",
                                    "tiempo",
                                    "hora",
                                    "tempo",
                                    "ora",
                                    "tijd"};
constexpr std::array usual_angles = {"angle", "swivel", "swivel angle", "winkel", "angolo", "hoek"};
constexpr std::array usual_acrosses = {"across", "y"};
constexpr std::array usual_speeds = {"speed",
                                     "velocity",
                                     "wind speed",
                                     "air speed",
                                     "geschwindigkeit",
                                     "vitesse",
                                     "velocidad",
                                     "velocita",
                                     "snelheid"};
constexpr std::array usual_forces = {"reading",
                                     "force",
                                     "weight",
                                     "mass",
                                     "scale",
                                     "balance",
                                     "kraft",
                                     "gewicht",
                                     "poids",
                                     "peso",
                                     "masse"};
constexpr std::array usual_labels = {"label", "setting", "fan", "state"};
constexpr std::array usual_units = {"unit"};

/// Finds columns in the heading, and keeps what is wrong for one report.
class ColumnFinder {
 public:
  ColumnFinder(const std::filesystem::path& file, const Opening& opening)
      : file_(file), opening_(opening) {}

  /// The first row with the value's column is the heading.
  void choose_heading(const Wanted& value) {
    for (row_ = 0; row_ < opening_.size(); ++row_) {
      if (!candidates(value).empty()) {
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
                               const char* what) {
    std::string text = stated;
    if (text.empty()) {
      text = heading()[column].unit;
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
              " [unit]` or state it; allowed are " + accepted_units(wanted));
    return {wanted, 1.0, 0.0, false};
  }

  [[nodiscard]] std::size_t row() const { return row_; }
  [[nodiscard]] std::vector<Finding>& findings() { return findings_; }

 private:
  [[nodiscard]] const std::vector<HeadingCell>& heading() const { return opening_[row_]; }

  [[nodiscard]] std::vector<std::size_t> candidates(const Wanted& wanted) const {
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

/// "10:00:06.25" as seconds of the day; nothing else.
std::optional<double> plain_time_of_day(std::string_view text) {
  double part[3] = {0.0, 0.0, 0.0};
  const char* at = text.data();
  const char* const end = at + text.size();
  for (int i = 0; i < 3; ++i) {
    if (i < 2) {
      int whole = 0;
      const auto [stop, error] = std::from_chars(at, end, whole);
      if (error != std::errc{} || stop == end || *stop != ':' || whole < 0) {
        return std::nullopt;
      }
      part[i] = whole;
      at = stop + 1;
    } else {
      const auto [stop, error] = std::from_chars(at, end, part[2], std::chars_format::fixed);
      if (error != std::errc{} || stop != end || *at == '-') {
        return std::nullopt;
      }
    }
  }
  if (part[0] > 23.0 || part[1] > 59.0 || part[2] >= 61.0) {
    return std::nullopt;
  }
  return 3600.0 * part[0] + 60.0 * part[1] + part[2];
}

}  // namespace

bool looks_like_data(const CsvRow& row) {
  std::size_t known = 0;
  std::size_t numbers = 0;
  for (const CsvCell& cell : row.cells) {
    const MeasuredCell parts = split_measured_cell(cell.text);
    const bool number = is_number(cell.text) || parse_clock(cell.text).has_value() ||
                        (is_number(parts.number) && find_unit(parts.unit).has_value());
    numbers += number ? 1U : 0U;
    known += (number || read_cell_word(cell.text) != CellWord::other) ? 1U : 0U;
  }
  return numbers > 0 && 2 * known >= row.cells.size();
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
  const Wanted value =
      is_force ? Wanted{"scale's reading", format.value, usual_forces, true, "--value-column"}
               : Wanted{"speed", format.value, usual_speeds, true, "--value-column (value_column)"};
  ColumnFinder finder(file, opening);
  finder.choose_heading(value);
  LogColumns columns;
  columns.heading_row = finder.row();
  const std::optional<std::size_t> found_value = finder.find(value);
  if (!format.rate_hz) {
    columns.time = finder.find({"time",
                                format.time,
                                usual_times,
                                !format.arrival,
                                "--time-column (time_column), or --rate"});
  }
  if (!is_force) {
    columns.position =
        is_angle
            ? finder.find({"angle", format.position, usual_angles, false, "--angle-column"})
            : finder.find(
                  {"position across", format.position, usual_acrosses, false, "--angle-column"});
  } else {
    columns.label = finder.find({"label", format.label, usual_labels, false, "--label-column"});
    columns.unit = finder.find({"unit", "", usual_units, false, "unit"});
  }
  if (found_value) {
    columns.value = *found_value;
    columns.value_scale = columns.unit ? UnitScale{Dimension::force, 1.0, 0.0, false}
                                       : finder.unit(*found_value,
                                                     format.value_unit,
                                                     first_data,
                                                     is_force ? Dimension::force : Dimension::speed,
                                                     is_force ? "scale's reading" : "speed");
  }
  if (columns.position) {
    columns.position_scale = finder.unit(*columns.position,
                                         format.position_unit,
                                         first_data,
                                         is_angle ? Dimension::angle : Dimension::length,
                                         is_angle ? "angle" : "position across");
  }
  if (columns.time && *columns.time < first_data.cells.size()) {
    const std::string_view text = first_data.cells[*columns.time].text;
    const bool number = is_number(text);
    columns.time_is_clock = !number && parse_clock(text).has_value();
    columns.time_scale =
        columns.time_is_clock
            ? UnitScale{Dimension::time, 1.0, 0.0, false}
            : finder.unit(*columns.time, format.time_unit, first_data, Dimension::time, "time");
  }
  if (!finder.findings().empty()) {
    throw SurveyError(std::move(finder.findings()));
  }
  return columns;
}

double ClockFollower::read(std::string_view text, LogDates stated) {
  constexpr double day_s = 86400.0;
  const std::size_t gap = text.find_last_of(" T");
  const std::string_view date =
      gap == std::string_view::npos ? std::string_view{} : text.substr(0, gap);
  const std::string_view clock = gap == std::string_view::npos ? text : text.substr(gap + 1);
  if (started_ && date == date_text_) {
    if (const auto quick = plain_time_of_day(clock)) {
      if (date.empty() && *quick + day_s * static_cast<double>(day_) < last_ - 0.5 * day_s) {
        ++day_;  // no date stands in the log, and it went past midnight
      }
      last_ = *quick + day_s * static_cast<double>(day_);
      return last_;
    }
  }
  const std::optional<ClockReading> reading = parse_clock(text);
  if (!reading || !reading->has_time) {
    return std::numeric_limits<double>::quiet_NaN();
  }
  const std::optional<long> days[2] = {reading->day_if_day_first, reading->day_if_month_first};
  if (!started_) {
    first_day_[0] = days[0];
    first_day_[1] = days[1];
    started_ = true;
  }
  if (stated != LogDates::found) {
    order_ = stated == LogDates::day_first ? 0 : 1;
  } else if (!days[0] || !days[1]) {
    order_ = days[0] ? 0 : 1;
  }
  if (reading->has_date) {
    std::optional<long> since[2];
    for (int order = 0; order < 2; ++order) {
      if (days[order] && first_day_[order]) {
        since[order] = *days[order] - *first_day_[order];
      }
    }
    const bool month_first_nearer =
        since[0] && since[1] && std::abs(*since[1] - day_) < std::abs(*since[0] - day_);
    const int order = order_.value_or(month_first_nearer ? 1 : 0);
    day_ = since[order].value_or(day_);
    date_text_ = std::string(date);
  } else if (reading->second_of_day + day_s * static_cast<double>(day_) < last_ - 0.5 * day_s) {
    ++day_;
  }
  last_ = reading->second_of_day + day_s * static_cast<double>(day_);
  return last_;
}

}  // namespace sweepflux
