#include "sweepflux/capture/log/read_log.hpp"

#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/delimited/text_cell.hpp"
#include "sweepflux/capture/log/log_columns_private.hpp"

#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <utility>

namespace sweepflux {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();
constexpr std::size_t most_opening_rows = 50;
constexpr std::size_t most_faults_kept = 20;
constexpr std::size_t most_garbled_rows = 2;

/// A plain decimal such as -12.375 with at most 15 digits: whole number over a power of ten, both
/// exact, so the quotient is the nearest double [Clinger 1990]. NaN: it is something else.
double plain_decimal(std::string_view text) {
  static constexpr std::array<double, 16> powers = {
      1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15};
  const bool negative = text.starts_with('-');
  text.remove_prefix(negative ? 1 : 0);
  if (text.empty() || text.size() > powers.size()) {
    return none;
  }
  std::int64_t whole = 0;
  std::size_t point = text.size();
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (is_digit(text[i])) {
      whole = 10 * whole + (text[i] - '0');
    } else if (text[i] == '.' && point == text.size()) {
      point = i;
    } else {
      return none;
    }
  }
  const bool has_point = point < text.size();
  const std::size_t digits = text.size() - (has_point ? 1 : 0);
  if (digits < 1 || digits >= powers.size()) {
    return none;
  }
  const double value = static_cast<double>(whole) / powers[has_point ? digits - point : 0];
  return negative ? -value : value;
}

std::string_view cell_text(const CsvRow& row, std::optional<std::size_t> column) {
  return column && *column < row.cells.size() ? row.cells[*column].text : std::string_view{};
}

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
  [[nodiscard]] const LogSample* decode_data(const CsvRow& row);
  [[nodiscard]] double read_number(std::string_view text,
                                   std::size_t line,
                                   ColumnNumbers& slow,
                                   const UnitScale& scale);
  void read_time(const CsvRow& row);
  [[nodiscard]] SampleFault read_value(const CsvRow& row);
  [[nodiscard]] double value_in_si(double number, const CsvRow& row);
  void fault(const CsvRow& row, std::size_t byte, std::string text);
  void fault_in_cell(const CsvRow& row, std::optional<std::size_t> column, const char* words);
};

void LogDecoder::State::fault(const CsvRow& row, std::size_t byte, std::string text) {
  if (counts.first_faults.size() < most_faults_kept) {
    counts.first_faults.push_back({{file, row.line, byte}, std::move(text)});
  }
}

void LogDecoder::State::fault_in_cell(const CsvRow& row,
                                      std::optional<std::size_t> column,
                                      const char* words) {
  const bool is_there = column && *column < row.cells.size();
  fault(
      row, is_there ? row.cells[*column].column : 1, in_backticks(cell_text(row, column)) + words);
}

/// The common case is a plain number with a point; only the rest goes the slow way.
double LogDecoder::State::read_number(std::string_view text,
                                      std::size_t line,
                                      ColumnNumbers& slow,
                                      const UnitScale& scale) {
  double number = plain_decimal(text);
  if (std::isnan(number)) {
    number = slow.read(text, line);
  }
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
    fault_in_cell(row, columns->time, " is no time; the row is left out");
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

/// Sets the sample's value where nothing is at fault.
SampleFault LogDecoder::State::read_value(const CsvRow& row) {
  if (row.fault != CsvFault::none) {
    fault(row, row.fault_column, std::string(describe(row.fault)) + "; the row is left out");
    return SampleFault::unreadable;
  }
  const std::string_view text = cell_text(row, columns->value);
  const double number =
      text.empty() ? none : read_number(text, row.line, values, columns->value_scale);
  if (std::isnan(number)) {
    const CellWord word = read_cell_word(text);
    if (word == CellWord::other) {
      fault_in_cell(
          row, columns->value, " is no number in the unit of its column; the row is left out");
    }
    return word == CellWord::missing       ? SampleFault::missing
           : word == CellWord::over_range  ? SampleFault::over_range
           : word == CellWord::under_range ? SampleFault::under_range
                                           : SampleFault::unreadable;
  }
  const double value = value_in_si(number, row);
  if (std::isnan(value)) {
    fault_in_cell(row, columns->unit, " is no unit for this value");
    return SampleFault::unreadable;
  }
  if (format.kind == LogKind::speed && std::abs(value) > fastest_wind_m_s) {
    fault_in_cell(row,
                  columns->value,
                  " would be a wind of more than 150 m/s: is the unit right? The row is left out");
    return SampleFault::unreadable;
  }
  sample.value = value;
  return SampleFault::none;
}

const LogSample* LogDecoder::State::decode_data(const CsvRow& row) {
  if (!row.has_line_end) {
    // The file stops within this line, so its last number may have been cut: 0.38 to 0.3.
    counts.cut_line = row.line;
    return nullptr;
  }
  if (!row.cells.empty() && holds_texts(row, heading_texts)) {
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
  sample.value = none;
  sample.fault = read_value(row);
  counts.missing += sample.fault == SampleFault::missing ? 1 : 0;
  counts.over_range += sample.fault == SampleFault::over_range ? 1 : 0;
  counts.under_range += sample.fault == SampleFault::under_range ? 1 : 0;
  counts.unreadable += sample.fault == SampleFault::unreadable ? 1 : 0;
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
    fault(row, 1, "the row is left out: " + error.findings().front().text);
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
    opening.push_back(read_heading(row));
    opening_texts.push_back(texts_of(row));
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

LogFormat log_format(const LogWords& words, Motion motion) {
  LogFormat format{words};
  format.motion = motion;
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
