#include "sweepflux/capture/log/log_columns_private.hpp"

#include <charconv>
#include <cmath>
#include <limits>
#include <string>

namespace sweepflux {
namespace {

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

double ClockFollower::read(std::string_view text, DateOrder stated) {
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
  if (stated != DateOrder::found) {
    order_ = stated == DateOrder::day_first ? 0 : 1;
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
