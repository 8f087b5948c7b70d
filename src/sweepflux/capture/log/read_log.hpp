#pragma once

#include "sweepflux/base/geometry.hpp"
#include "sweepflux/capture/delimited/csv_rows.hpp"
#include "sweepflux/capture/log/log_recipe.hpp"

#include <cstddef>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace sweepflux {

/// What a log's value column holds.
enum class LogKind { speed, force };

/// How a log is read.
struct LogFormat : LogWords {
  LogKind kind = LogKind::speed;
  Motion motion = Motion::swivel;  ///< whether the position is an angle or a distance
  std::optional<double> motor_step{};  ///< [rad] or [m], of positions in steps of the motor
  bool arrival = false;  ///< without a time column, a row's time is that at which it came
  double gravity_m_s2 = 9.80665;  ///< turns grams into newtons
};

/// Lines of one stated column are cells as they stand, blanks and all; else the file tells.
///
/// @return '\0': it is to be found
[[nodiscard]] char stated_separator(const LogFormat& format);

/// What a survey's words about a log of speeds come to.
[[nodiscard]] LogFormat log_format(const LogWords& words, Motion motion);

enum class SampleFault { none, missing, over_range, under_range, unreadable };

/// One row of a log, in SI.
struct LogSample {
  double time_s = 0.0;    ///< since the log's first midnight, or as written; NaN: none
  double position = 0.0;  ///< angle [rad] or across [m]; NaN: no such column, or no number
  double value = 0.0;     ///< speed [m/s] or force [N]; NaN unless fault is none
  std::size_t line = 0;
  SampleFault fault = SampleFault::none;
  std::size_t lost_before = 0;  ///< rows without a time just before it, which were left out
  bool new_segment = false;  ///< a heading stood again before this row: the logger was started anew
  std::string_view label;    ///< valid until the next row
};

/// What was met besides good rows, so that nothing is dropped unsaid.
struct LogTally {
  std::size_t rows = 0;  ///< of data
  std::size_t missing = 0;
  std::size_t over_range = 0;
  std::size_t under_range = 0;
  std::size_t unreadable = 0;
  std::size_t segments = 1;
  std::size_t undated = 0;   ///< rows whose time is no time; they are left out
  std::size_t cut_line = 0;  ///< the last line, when it lacks its end and was left out; 0: none
};

/// The same, and what could not be read.
struct LogCounts : LogTally {
  std::vector<Finding> first_faults;  ///< of unreadable rows and times, at most 20
};

/// Turns rows into samples: finds the heading, the columns, their units and the form of the time,
/// then decodes row by row in constant memory.
class LogDecoder {
 public:
  /// @param file  for messages only
  LogDecoder(std::filesystem::path file, LogFormat format);
  ~LogDecoder();
  LogDecoder(LogDecoder&&) noexcept;
  LogDecoder& operator=(LogDecoder&&) noexcept;

  /// @return the row's sample, or nullptr for heading, units row, rows without a time
  /// @throws SurveyError  the columns cannot be found (the names found are listed), a unit is
  ///                      missing or of the wrong kind, or no heading stands in the first 50 rows
  [[nodiscard]] const LogSample* decode(const CsvRow& row);

  [[nodiscard]] bool has_heading() const;
  [[nodiscard]] bool has_position() const;
  [[nodiscard]] const LogCounts& counts() const;
  /// For LogFormat::arrival: when the next rows came [s].
  void came_at(double time_s);
  /// Rows have the time at which they came.
  [[nodiscard]] bool by_arrival() const;
  /// Counts on from what was counted of the source before.
  void count_from(const LogTally& before);

 private:
  struct State;
  std::unique_ptr<State> state_;
};

/// Reads a whole log, of any size, in constant memory.
class LogReader {
 public:
  /// @throws InputError  the file cannot be opened
  LogReader(const std::filesystem::path& file, const LogFormat& format);

  /// The next sample, or nullptr at the end.
  ///
  /// @throws SurveyError  as LogDecoder, or the file holds no row of data
  [[nodiscard]] const LogSample* next();

  [[nodiscard]] const LogCounts& counts() const { return decoder_.counts(); }
  [[nodiscard]] bool has_position() const { return decoder_.has_position(); }
  [[nodiscard]] std::size_t bytes_read() const { return rows_.bytes_read(); }

 private:
  std::filesystem::path file_;
  CsvRows rows_;
  LogDecoder decoder_;
  bool any_ = false;
};

}  // namespace sweepflux
