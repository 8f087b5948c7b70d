#pragma once

#include "tests/support/simulated_log.hpp"

#include <cstdint>
#include <set>
#include <string>
#include <string_view>
#include <vector>

namespace sweepflux::test {

/// What may befall a log while a sweep is made.
enum class LogFate {
  parked_start,   ///< the rig rested at its first stop before the sweep
  parked_end,     ///< and at its last one after it
  pause,          ///< a long rest amid the sweep
  clock_forward,  ///< the clock was set forward within a dwell: a minute to a few hours, or an hour
  clock_back,     ///< and back
  restart,        ///< heading again, times from 0
  same_stamps,    ///< a few rows share one stamp
  bad_digit,      ///< one digit of one time is another
  bad_bytes,      ///< up to 200 bytes in a row are anything but line ends
};
inline constexpr int log_fates = 9;
[[nodiscard]] std::string_view word_for(LogFate fate);

struct SpoiledLog {
  std::string text;
  std::set<int> touched;  ///< stops whose own rows were changed or added to
};

/// `time [s],angle [deg],speed [m/s]` of a one-way stop-and-go sweep, as log_text writes it, after
/// that fate; everything follows from the seed. All rows that are not touched stay as they were,
/// but for their times where the fate moves them. Added rows repeat settled ones of the same stop.
[[nodiscard]] SpoiledLog spoil(const std::vector<LogSample>& samples,
                               LogFate fate,
                               std::uint64_t seed);

/// A rig of its own kind for every seed: rates, turbulence, sensors, rests of even or uneven
/// length.
[[nodiscard]] SimulatedRig some_rig(std::uint64_t seed);

}  // namespace sweepflux::test
