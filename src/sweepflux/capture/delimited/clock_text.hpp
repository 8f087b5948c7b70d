#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace sweepflux {

/// A moment as a logger writes it. A date such as 03/04/2025 has two readings.
struct ClockReading {
  double second_of_day = 0.0;  ///< a zone offset is taken off, so it may leave the day
  bool has_date = false;
  bool has_time = false;
  std::optional<long> day_if_day_first;  ///< days since 1970-01-01; empty: no such date
  std::optional<long> day_if_month_first;
};

/// Reads "2012-06-07 13:00:00.05", "13.04.2025 10:00:06", "4/13/2025 1:00:06 PM", "13-Apr-2025",
/// "10:00:06,25", also with `T`, `Z` or `+02:00`. The whole text must be consumed.
[[nodiscard]] std::optional<ClockReading> parse_clock(std::string_view text);

/// How days and months stand in dates that start with neither year nor name of the month.
enum class DateOrder { found, day_first, month_first };

/// A column of moments; the order of day and month is decided for the column as a whole.
class ClockColumn {
 public:
  /// False when the text is no moment, or a date stands where none stood before (or the reverse).
  [[nodiscard]] bool add(std::string_view text);
  /// A row without a moment.
  void add_missing() { rows_.emplace_back(); }
  /// Takes the last row back.
  void remove_last() { rows_.pop_back(); }

  struct Result {
    std::vector<double> seconds;  ///< since 1970-01-01, or since a midnight; NaN where missing
    bool undecided = false;       ///< both orders fit and would differ: `seconds` is empty
    bool impossible = false;      ///< some rows fit one order only, some the other
    bool goes_back = false;       ///< a later row has an earlier moment
    std::size_t first_backward_row = 0;
  };
  /// Times without a date go past midnight when they fall by more than half a day.
  [[nodiscard]] Result finish(DateOrder stated) const;

 private:
  std::vector<std::optional<ClockReading>> rows_;  ///< empty: a row without a moment
  std::optional<bool> has_date_;
};

}  // namespace sweepflux
