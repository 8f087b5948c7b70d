#include "sweepflux/capture/log/read_log.hpp"

#include "sweepflux/base/fastest_wind.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/delimited/text_cell.hpp"
#include "sweepflux/capture/log/log_columns_private.hpp"
#include "sweepflux/capture/log/measured_cell_private.hpp"
#include "sweepflux/capture/log/plain_decimal_private.hpp"

#include <cmath>
#include <limits>
#include <utility>

namespace sweepflux {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();
constexpr std::size_t most_opening_rows = 50;
constexpr std::size_t most_faults_kept = 20;
constexpr std::size_t most_garbled_rows = 2;

}  // namespace

struct LogDecoder::State {
  std::filesystem::path file;
  LogFormat format;
  LogCounts counts;
  LogSample sample;
  std::vector<std::vector<HeadingCell>> opening;  ///< rows before the heading is known
  std::optional<LogColumns> columns;
  std::vector<std::vector<std::string>> opening_texts;  ///< the same, as bytes
  std::vector<std::string> heading_texts;               ///< of the heading, to know it again
  ColumnNumbers times;
  ColumnNumbers positions;
  ColumnNumbers values;
  ClockFollower clock;
  std::string row_unit;
  UnitScale row_scale;
  bool segment_pending = false;
  std::size_t lost_pending = 0;
  double arrival_s = 0.0;

  [[nodiscard]] bool try_heading(const CsvRow& row);
  [[nodiscard]] bool has_stated_columns(const CsvRow& row);
  [[nodiscard]] bool is_heading_again(const CsvRow& row) const;
  [[nodiscard]] const LogSample* decode_data(const CsvRow& row);
  [[nodiscard]] double read_number(std::string_view text,
                                   std::size_t line,
                                   ColumnNumbers& slow,
                                   const UnitScale& scale);
  void read_time(const CsvRow& row);
  void read_value(const CsvRow& row);
  [[nodiscard]] double value_in_si(double number, const CsvRow& row);
  void fault(std::size_t line, std::size_t column, std::string text);
};

namespace {

std::string_view cell_text(const CsvRow& row, std::optional<std::size_t> column) {
  return column && *column < row.cells.size() ? row.cells[*column].text : std::string_view{};
}

std::size_t cell_column(const CsvRow& row, std::optional<std::size_t> column) {
  return column && *column < row.cells.size() ? row.cells[*column].column : 1;
}

}  // namespace

void LogDecoder::State::fault(std::size_t line, std::size_t column, std::string text) {
  if (counts.first_faults.size() < most_faults_kept) {
    counts.first_faults.push_back({{file, line, column}, std::move(text)});
  }
}

/// The common case is a plain number with a point; only the rest goes the slow way.
double LogDecoder::State::read_number(std::string_view text,
                                      std::size_t line,
                                      ColumnNumbers& slow,
                                      const UnitScale& scale) {
  double number = plain_decimal(text);
  if (!std::isnan(number)) {
    return number;
  }
  number = slow.read(text, line);
  if (!std::isnan(number)) {
    return number;
  }
  // A cell may hold its unit, the same in every row.
  const MeasuredCell cell = split_measured_cell(text);
  const auto unit = find_unit(cell.unit);
  const bool same = unit && *unit == scale;
  return same ? slow.read(cell.number, line) : none;
}

void LogDecoder::State::read_time(const CsvRow& row) {
  if (format.rate_hz) {
    sample.time_s = static_cast<double>(counts.rows - 1) / *format.rate_hz;
    return;
  }
  if (!columns->time) {
    sample.time_s = format.arrival ? arrival_s : none;
    return;
  }
  const std::string_view text = cell_text(row, columns->time);
  if (columns->time_is_clock) {
    sample.time_s = clock.read(text, format.dates);
  } else {
    const double number = read_number(text, row.line, times, columns->time_scale);
    sample.time_s = number * columns->time_scale.factor;
  }
  if (std::isnan(sample.time_s)) {
    ++counts.undated;
    ++lost_pending;
    fault(row.line,
          cell_column(row, columns->time),
          in_backticks(text) + " is no time; the row is left out");
  }
}

double LogDecoder::State::value_in_si(double number, const CsvRow& row) {
  UnitScale scale = columns->value_scale;
  if (columns->unit) {
    const std::string_view unit = cell_text(row, columns->unit);
    if (unit != row_unit) {
      const auto found = find_unit(unit);
      if (!found || found->dimension != columns->value_scale.dimension) {
        return none;
      }
      row_unit = std::string(unit);
      row_scale = *found;
    }
    scale = row_scale;
  }
  double value = number * scale.factor + scale.offset;
  if (format.kind == LogKind::force && scale.is_mass) {
    value *= format.gravity_m_s2 / standard_gravity_m_s2;
  }
  return value;
}

void LogDecoder::State::read_value(const CsvRow& row) {
  const std::string_view text = cell_text(row, columns->value);
  sample.value = none;
  sample.fault = SampleFault::none;
  if (row.fault != CsvFault::none) {
    sample.fault = SampleFault::unreadable;
    fault(row.line, row.fault_column, std::string(describe(row.fault)) + "; the row is left out");
  } else {
    const double number =
        text.empty() ? none : read_number(text, row.line, values, columns->value_scale);
    if (!std::isnan(number)) {
      sample.value = value_in_si(number, row);
      const bool too_fast = format.kind == LogKind::speed && std::abs(sample.value) > fastest_wind_m_s;
      if (!std::isnan(sample.value) && !too_fast) {
        return;
      }
      sample.value = none;
      sample.fault = SampleFault::unreadable;
      if (too_fast) {
        fault(row.line,
              cell_column(row, columns->value),
              in_backticks(text) +
                  " would be a wind of more than 150 m/s: is the unit right? The row is left out");
      } else {
        fault(row.line,
              cell_column(row, columns->unit),
              in_backticks(cell_text(row, columns->unit)) + " is no unit for this value");
      }
    } else {
      switch (read_cell_word(text)) {
        case CellWord::missing:
          sample.fault = SampleFault::missing;
          break;
        case CellWord::over_range:
          sample.fault = SampleFault::over_range;
          break;
        case CellWord::under_range:
          sample.fault = SampleFault::under_range;
          break;
        case CellWord::other:
          sample.fault = SampleFault::unreadable;
          fault(
              row.line,
              cell_column(row, columns->value),
              in_backticks(text) + " is no number in the unit of its column; the row is left out");
          break;
      }
    }
  }
  counts.missing += sample.fault == SampleFault::missing ? 1 : 0;
  counts.over_range += sample.fault == SampleFault::over_range ? 1 : 0;
  counts.under_range += sample.fault == SampleFault::under_range ? 1 : 0;
  counts.unreadable += sample.fault == SampleFault::unreadable ? 1 : 0;
}

bool LogDecoder::State::is_heading_again(const CsvRow& row) const {
  if (row.cells.empty() || row.cells.size() != heading_texts.size()) {
    return false;
  }
  for (std::size_t i = 0; i < row.cells.size(); ++i) {
    if (row.cells[i].text != heading_texts[i]) {
      return false;
    }
  }
  return true;
}

const LogSample* LogDecoder::State::decode_data(const CsvRow& row) {
  if (!row.has_line_end) {
    // The file stops within this line, so its last number may have been cut: 0.38 to 0.3.
    counts.cut_line = row.line;
    return nullptr;
  }
  if (is_heading_again(row)) {
    ++counts.segments;
    segment_pending = true;
    return nullptr;
  }
  ++counts.rows;
  sample.line = row.line;
  read_time(row);
  if (std::isnan(sample.time_s) && columns->time) {
    return nullptr;
  }
  sample.new_segment = std::exchange(segment_pending, false);
  sample.lost_before = std::exchange(lost_pending, 0);
  sample.position = none;
  if (columns->position) {
    const std::string_view text = cell_text(row, columns->position);
    const double number =
        text.empty() ? none : read_number(text, row.line, positions, columns->position_scale);
    sample.position = number * columns->position_scale.factor;
  }
  sample.label = read_text_cell(cell_text(row, columns->label));
  read_value(row);
  return &sample;
}

/// With columns stated: the first row that fits them begins the data. The first few may be cut or
/// garbled, as those of a serial line are.
bool LogDecoder::State::has_stated_columns(const CsvRow& row) {
  if (row.cells.size() < format.columns.size()) {
    return false;
  }
  opening.assign(1, {});
  opening_texts.assign(1, format.columns);
  for (const std::string& column : format.columns) {
    opening.back().push_back(split_heading(column));
    opening.back().back().line = row.line;
  }
  try {
    columns = find_log_columns(file, format, opening, row);
  } catch (const SurveyError& error) {
    if (counts.unreadable == most_garbled_rows) {
      throw;
    }
    ++counts.rows;
    ++counts.unreadable;
    fault(row.line, 1, "the row is left out: " + error.findings().front().text);
    return false;
  }
  heading_texts = opening_texts.back();
  return true;
}

/// True when the row belongs to what stands before the data.
bool LogDecoder::State::try_heading(const CsvRow& row) {
  if (!format.columns.empty()) {
    return !looks_like_data(row, format.columns) || !has_stated_columns(row);
  }
  if (!looks_like_data(row)) {
    std::vector<HeadingCell> cells;
    for (const CsvCell& cell : row.cells) {
      HeadingCell heading = split_heading(as_utf8(cell.text));
      heading.line = row.line;
      heading.column = cell.column;
      cells.push_back(std::move(heading));
    }
    opening.push_back(std::move(cells));
    opening_texts.emplace_back();
    for (const CsvCell& cell : row.cells) {
      opening_texts.back().emplace_back(cell.text);
    }
    if (opening.size() <= most_opening_rows) {
      return true;
    }
  }
  columns = find_log_columns(file, format, opening, row);
  heading_texts = opening_texts[columns->heading_row];
  return false;
}

LogDecoder::LogDecoder(std::filesystem::path file, LogFormat format)
    : state_(std::make_unique<State>()) {
  if (format.rate_hz && !(*format.rate_hz > 0.0)) {
    throw InputError("the rate of the log must be > 0");
  }
  state_->file = std::move(file);
  state_->format = std::move(format);
}
LogDecoder::~LogDecoder() = default;
LogDecoder::LogDecoder(LogDecoder&&) noexcept = default;
LogDecoder& LogDecoder::operator=(LogDecoder&&) noexcept = default;

const LogSample* LogDecoder::decode(const CsvRow& row) {
  if (!state_->columns && state_->try_heading(row)) {
    return nullptr;
  }
  return state_->decode_data(row);
}

bool LogDecoder::has_heading() const { return state_->columns.has_value(); }
bool LogDecoder::has_position() const { return state_->columns && state_->columns->position; }
const LogCounts& LogDecoder::counts() const { return state_->counts; }

void LogDecoder::came_at(double time_s) { state_->arrival_s = time_s; }
bool LogDecoder::by_arrival() const {
  return state_->columns && !state_->columns->time && state_->format.arrival;
}

void LogDecoder::count_from(const LogTally& before) {
  static_cast<LogTally&>(state_->counts) = before;
}

char stated_separator(const LogFormat& format) { return format.columns.size() == 1 ? ';' : '\0'; }

LogFormat log_format(const LogRecipe& recipe, Motion motion) {
  LogFormat format;
  format.motion = motion;
  format.columns = recipe.columns;
  format.time = recipe.time_column;
  format.position = recipe.position_column;
  format.value = recipe.value_column;
  format.time_unit = recipe.time_unit;
  format.position_unit = recipe.position_unit;
  format.value_unit = recipe.value_unit;
  format.dates = recipe.dates == DateOrder::day_first     ? LogDates::day_first
                 : recipe.dates == DateOrder::month_first ? LogDates::month_first
                                                          : LogDates::found;
  format.rate_hz = recipe.rate_hz;
  return format;
}

namespace {

CsvOptions csv_options(const LogFormat& format) {
  CsvOptions options;
  options.separator = stated_separator(format);
  if (!format.columns.empty()) {
    options.separator_in = [columns = format.columns](std::string_view opening) {
      return columns_separator(opening.substr(0, opening_bytes), columns, true);
    };
  }
  return options;
}

}  // namespace

LogReader::LogReader(const std::filesystem::path& file, const LogFormat& format)
    : file_(file),
      rows_(file, csv_options(format)),
      decoder_(file, format) {}

const LogSample* LogReader::next() {
  while (const CsvRow* row = rows_.next()) {
    if (const LogSample* sample = decoder_.decode(*row)) {
      any_ = true;
      return sample;
    }
  }
  if (!any_) {
    std::vector<Finding> findings = decoder_.counts().first_faults;
    findings.push_back({{file_, 0, 0}, "the log holds no row of data below a heading"});
    throw SurveyError(std::move(findings));
  }
  return nullptr;
}

}  // namespace sweepflux
