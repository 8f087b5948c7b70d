// Whether stops are kept whatever befalls a log.
//   kept_stops [logs, else 500] [first seed, else 1]
// Simulates as many logs, spoils each in one way after the other, and compares with the log as it
// was: every stop must be there or named, and no stop that was not touched may read otherwise by
// more than half of the last digit printed.

#include "sweepflux/base/error.hpp"
#include "sweepflux/derive/log/reduce_log.hpp"
#include "tests/support/spoiled_log.hpp"

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <numbers>
#include <string>
#include <unistd.h>

namespace {

namespace fs = std::filesystem;
using sweepflux::ReducedLog;
using sweepflux::ReducedReading;

constexpr double half_a_digit_m_s = 0.0005;

struct Tally {
  int logs = 0;
  int refused = 0;
  int lost = 0;        ///< logs with a stop neither there nor named
  int changed = 0;     ///< logs in which another stop reads otherwise
  double worst = 0.0;  ///< change, in standard errors
};

ReducedLog reduce(const fs::path& file, const std::string& text) {
  std::ofstream(file, std::ios::binary) << text;
  return sweepflux::reduce_log(file, {});
}

void compare(const ReducedLog& base,
             const ReducedLog& spoiled,
             const std::set<int>& touched,
             const sweepflux::test::SimulatedRig& rig,
             std::uint64_t seed,
             sweepflux::test::LogFate fate,
             Tally& tally) {
  const auto stop_of = [&](double position) {
    return static_cast<int>(
        std::lround((position * 180.0 / std::numbers::pi - rig.start_deg) / rig.step_deg));
  };
  std::map<int, const ReducedReading*> there;
  for (const ReducedReading& reading : spoiled.readings) {
    there[stop_of(reading.position)] = &reading;
  }
  const std::size_t named = spoiled.left_out.size();
  if (there.size() + named < base.readings.size() ||
      spoiled.readings.size() > base.readings.size()) {
    ++tally.lost;
    std::printf("  seed %lu, %s: %zu of %zu stops, %zu named\n",
                static_cast<unsigned long>(seed),
                std::string(word_for(fate)).c_str(),
                spoiled.readings.size(),
                base.readings.size(),
                named);
  }
  double worst = 0.0;
  double largest = 0.0;
  for (const ReducedReading& reading : base.readings) {
    const int stop = stop_of(reading.position);
    if (touched.count(stop) > 0 || there.count(stop) == 0) {
      continue;
    }
    const double change = std::abs(there[stop]->speed_m_s - reading.speed_m_s);
    if (change > half_a_digit_m_s) {
      worst = std::max(worst, change / reading.standard_error_m_s);
      largest = std::max(largest, change);
    }
  }
  if (largest > 0.0) {
    ++tally.changed;
    tally.worst = std::max(tally.worst, worst);
    std::printf(
        "  seed %lu, %s: changed by up to %.4f m/s, %.2f standard errors; settling %g, was %g\n",
        static_cast<unsigned long>(seed),
        std::string(word_for(fate)).c_str(),
        largest,
        worst,
        spoiled.settle_s,
        base.settle_s);
  }
}

}  // namespace

int main(int argc, char** argv) {
  const int logs = argc > 1 ? std::atoi(argv[1]) : 500;
  const auto first = static_cast<std::uint64_t>(argc > 2 ? std::atoll(argv[2]) : 1);
  const fs::path file =
      fs::temp_directory_path() / ("sweepflux-kept-stops-" + std::to_string(::getpid()) + ".csv");
  std::map<sweepflux::test::LogFate, Tally> tallies;
  int without_base = 0;
  for (int i = 0; i < logs; ++i) {
    const std::uint64_t seed = first + static_cast<std::uint64_t>(i);
    const sweepflux::test::SimulatedRig rig = sweepflux::test::some_rig(seed);
    const auto samples = rig.stop_and_go();
    ReducedLog base;
    try {
      base = reduce(file, sweepflux::test::log_text(samples));
    } catch (const sweepflux::Error& error) {
      ++without_base;
      std::printf("  seed %lu, as it was: refused: %s\n",
                  static_cast<unsigned long>(seed),
                  error.what());
      continue;
    }
    const auto fate = static_cast<sweepflux::test::LogFate>(i % sweepflux::test::log_fates);
    Tally& tally = tallies[fate];
    ++tally.logs;
    const sweepflux::test::SpoiledLog spoiled = spoil(samples, fate, seed);
    try {
      compare(base, reduce(file, spoiled.text), spoiled.touched, rig, seed, fate, tally);
    } catch (const sweepflux::Error& error) {
      ++tally.refused;
      std::printf("  seed %lu, %s: refused: %s\n",
                  static_cast<unsigned long>(seed),
                  std::string(word_for(fate)).c_str(),
                  error.what());
    }
  }
  fs::remove(file);
  std::printf(
      "%-14s %5s %8s %6s %8s %s\n", "fate", "logs", "refused", "lost", "changed", "by at most");
  for (const auto& [fate, tally] : tallies) {
    std::printf("%-14s %5d %8d %6d %8d %.2f standard errors\n",
                std::string(word_for(fate)).c_str(),
                tally.logs,
                tally.refused,
                tally.lost,
                tally.changed,
                tally.worst);
  }
  if (without_base > 0) {
    std::printf("%d more logs were refused as they were\n", without_base);
  }
  return 0;
}
