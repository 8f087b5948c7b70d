#pragma once

#include "sweepflux/base/error.hpp"
#include "sweepflux/capture/log/read_log.hpp"
#include "tool/follow_source.hpp"
#include "tool/stop_signal.hpp"

#include <chrono>
#include <cmath>
#include <string>

namespace sweepflux::tool {

/// Seconds since the midnight before the program began, on a clock that never jumps.
[[nodiscard]] inline double arrival_s() {
  using Steady = std::chrono::steady_clock;
  static const auto start = Steady::now();
  static const double of_day = std::fmod(
      std::chrono::duration<double>(std::chrono::system_clock::now().time_since_epoch()).count(),
      86400.0);
  return of_day + std::chrono::duration<double>(Steady::now() - start).count();
}

/// Rows of a stream that state no time have that at which they came; those of a file have none.
[[nodiscard]] inline LogFormat format_for(const FollowSource& source, LogFormat format) {
  format.arrival = !source.is_file() && !format.rate_hz;
  return format;
}

/// Feeds what comes until the source ends, the user stops it, or nothing has come for long.
///
/// @param anew  called when the source began anew, or came back
/// @return how many bytes came
template <typename Data, typename Anew, typename Tick>
std::size_t pump(FollowSource& source, double idle_limit_s, Data data, Anew anew, Tick tick) {
  using Clock = std::chrono::steady_clock;
  constexpr int wait_ms = 100;
  std::string bytes;
  std::size_t count = 0;
  bool ends_in_cr = false;
  Clock::time_point last_data = Clock::now();
  while (stop_signal() == 0) {
    const FollowSource::State state = source.read(bytes, wait_ms);
    if (state == FollowSource::State::ended) {
      break;
    }
    if (state == FollowSource::State::data) {
      count += bytes.size();
      ends_in_cr = bytes.back() == '\r';
      data(bytes);
      last_data = Clock::now();  // what it took to digest them is no silence of the source
    } else if (state != FollowSource::State::nothing_yet) {
      ends_in_cr = false;
      anew(state);
    }
    const double idle_s = std::chrono::duration<double>(Clock::now() - last_data).count();
    if (!tick() || idle_s > idle_limit_s) {
      break;
    }
  }
  if (ends_in_cr) {
    data("\n");  // which the line's CR waits for
  }
  return count;
}

/// A message that names its source.
[[nodiscard]] inline std::string beginning_with(const std::string& source,
                                                const std::string& what) {
  return what.starts_with(source) ? what : source + ": " + what;
}

/// What the reducer makes of all it was fed. Where that is nothing, the reason may be that nothing
/// came, or that the user stopped it.
template <typename Reducer>
auto finished(Reducer& reducer, const std::string& source, std::size_t bytes, std::size_t rows) {
  try {
    return reducer.finish();
  } catch (const NumericalError& error) {
    if (stop_signal() == 0 && rows > 0) {
      throw NumericalError(beginning_with(source, error.what()));
    }
    if (stop_signal() == 0) {
      throw InputError(source + (bytes == 0 ? ": nothing came from it"
                                            : ": no row of data came below a heading"));
    }
    throw Interrupted(std::string("stopped; nothing was written: ") + error.what());
  }
}

}  // namespace sweepflux::tool
