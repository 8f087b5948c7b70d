#include "tests/support/spoiled_log.hpp"

#include "tests/support/dice.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace sweepflux::test {
namespace {

std::size_t pick(Dice& dice, std::size_t from, std::size_t to) {  // both included
  return from + static_cast<std::size_t>(dice.any() % (to - from + 1));
}

/// First row of each stop, and the end of the last.
std::vector<std::size_t> edges_of(const std::vector<LogSample>& samples) {
  std::vector<std::size_t> edges;
  for (std::size_t i = 0; i < samples.size(); ++i) {
    if (i == 0 || samples[i].position != samples[i - 1].position) {
      edges.push_back(i);
    }
  }
  edges.push_back(samples.size());
  return edges;
}

double step_of(const std::vector<LogSample>& samples) {
  return samples[1].time_s - samples[0].time_s;
}

/// So many seconds more before row `at`, with values of rows [from, to).
void insert(std::vector<LogSample>& samples,
            std::size_t at,
            double seconds,
            std::size_t from,
            std::size_t to) {
  const double step_s = step_of(samples);
  const auto count = static_cast<std::size_t>(seconds / step_s);
  const double begin_s =
      samples[at == samples.size() ? at - 1 : at].time_s + (at == samples.size() ? step_s : 0.0);
  std::vector<LogSample> more;
  for (std::size_t i = 0; i < count; ++i) {
    more.push_back(samples[from + i % (to - from)]);
    more.back().time_s = begin_s + step_s * static_cast<double>(i);
  }
  for (std::size_t i = at; i < samples.size(); ++i) {
    samples[i].time_s += step_s * static_cast<double>(count);
  }
  samples.insert(samples.begin() + static_cast<std::ptrdiff_t>(at), more.begin(), more.end());
}

void shift(std::vector<LogSample>& samples, std::size_t at, double seconds) {
  for (std::size_t i = at; i < samples.size(); ++i) {
    samples[i].time_s += seconds;
  }
}

std::vector<std::size_t> line_starts(const std::string& text) {
  std::vector<std::size_t> starts = {0};
  for (std::size_t i = 0; i + 1 < text.size(); ++i) {
    if (text[i] == '\n') {
      starts.push_back(i + 1);
    }
  }
  return starts;
}

}  // namespace

std::string_view word_for(LogFate fate) {
  static constexpr std::array<std::string_view, log_fates> words = {"parked start",
                                                                    "parked end",
                                                                    "pause",
                                                                    "clock forward",
                                                                    "clock back",
                                                                    "restart",
                                                                    "same stamps",
                                                                    "bad digit",
                                                                    "bad bytes"};
  return words[static_cast<std::size_t>(fate)];
}

SpoiledLog spoil(const std::vector<LogSample>& samples, LogFate fate, std::uint64_t seed) {
  Dice dice(seed);
  std::vector<LogSample> rows = samples;
  const std::vector<std::size_t> edges = edges_of(rows);
  const std::size_t stops = edges.size() - 1;
  const std::size_t stop = pick(dice, 0, stops - 1);
  const std::size_t from = edges[stop];
  const std::size_t to = edges[stop + 1];
  const std::size_t row = pick(dice, from + 1, to - 1);
  const double park_s = std::exp(dice.uniform(std::log(60.0), std::log(3600.0)));
  constexpr std::array steps_s = {60.0, 120.0, 3600.0, 5000.0};
  const double clock_s = steps_s[pick(dice, 0, steps_s.size() - 1)];
  SpoiledLog spoiled;
  std::size_t restart_at = 0;
  switch (fate) {
    case LogFate::parked_start:
      insert(rows, 0, park_s, edges[1] / 2, edges[1]);
      spoiled.touched = {0};
      break;
    case LogFate::parked_end:
      insert(rows, rows.size(), park_s, (edges[stops - 1] + edges[stops]) / 2, edges[stops]);
      spoiled.touched = {static_cast<int>(stops) - 1};
      break;
    case LogFate::pause:
      insert(rows, (from + to) / 2, 0.2 * park_s, (from + to) / 2, to);
      spoiled.touched = {static_cast<int>(stop)};
      break;
    case LogFate::clock_forward:
      shift(rows, row, clock_s);
      break;
    case LogFate::clock_back:
      shift(rows, row, -clock_s);
      break;
    case LogFate::restart:
      shift(rows, row, -rows[row].time_s);
      restart_at = row;
      break;
    case LogFate::same_stamps:
      for (std::size_t i = row; i < std::min(row + 3, to); ++i) {
        rows[i].time_s = rows[row - 1].time_s;
      }
      spoiled.touched = {static_cast<int>(stop)};
      break;
    case LogFate::bad_digit:
    case LogFate::bad_bytes:
      break;
  }
  spoiled.text = log_text(rows);
  const std::vector<std::size_t> starts = line_starts(spoiled.text);
  if (restart_at > 0) {
    spoiled.text.insert(starts[restart_at + 1], spoiled.text.substr(0, starts[1]));
  } else if (fate == LogFate::bad_digit) {
    const std::size_t begin = starts[row + 1];
    const std::size_t end = spoiled.text.find('.', begin);
    char& digit = spoiled.text[pick(dice, begin, end - 1)];
    digit = static_cast<char>('0' + (digit - '0' + static_cast<int>(pick(dice, 1, 9))) % 10);
    spoiled.touched = {static_cast<int>(stop)};
  } else if (fate == LogFate::bad_bytes) {
    const std::size_t begin = pick(dice, starts[1], spoiled.text.size() - 2);
    const std::size_t end = std::min(begin + pick(dice, 1, 200), spoiled.text.size() - 1);
    for (std::size_t i = begin; i < end; ++i) {
      if (spoiled.text[i] != '\n') {
        const auto byte = static_cast<char>(pick(dice, 0, 255));
        spoiled.text[i] = byte == '\n' || byte == '\r' ? '?' : byte;
      }
      const auto line = std::upper_bound(starts.begin(), starts.end(), i) - starts.begin() - 2;
      const auto edge =
          std::upper_bound(edges.begin(), edges.end(), static_cast<std::size_t>(line));
      spoiled.touched.insert(static_cast<int>(edge - edges.begin()) - 1);
    }
  }
  return spoiled;
}

SimulatedRig some_rig(std::uint64_t seed) {
  Dice dice(seed * 7919 + 17);
  SimulatedRig rig;
  rig.seed = seed + 1;
  rig.turbulence = std::exp(dice.uniform(std::log(0.03), std::log(0.3)));
  rig.integral_time_s = std::exp(dice.uniform(std::log(0.03), std::log(0.5)));
  rig.sensor_time_constant_s = pick(dice, 0, 3) == 0 ? 0.0 : dice.uniform(0.1, 0.7);
  constexpr std::array rates_hz = {4.0, 10.0, 20.0, 50.0};
  rig.rate_hz = rates_hz[pick(dice, 0, rates_hz.size() - 1)];
  rig.rest_s = std::round(dice.uniform(5.0, 15.0));
  rig.rest_scatter = pick(dice, 0, 2) == 0 ? dice.uniform(0.05, 0.25) : 0.0;
  rig.move_s = pick(dice, 0, 1) == 0 ? 0.0 : dice.uniform(0.1, 0.6);
  rig.peak_m_s = dice.uniform(1.0, 6.0);
  rig.centre_deg = dice.uniform(-5.0, 5.0);
  rig.sigma_deg = dice.uniform(4.0, 9.0);
  rig.floor_m_s = pick(dice, 0, 1) == 0 ? 0.0 : dice.uniform(0.0, 0.3);
  constexpr std::array stops = {9, 13, 21, 25, 31};
  rig.stops = stops[pick(dice, 0, stops.size() - 1)];
  rig.step_deg = 40.0 / (rig.stops - 1);
  rig.resolution_m_s = pick(dice, 0, 1) == 0 ? 0.01 : 0.001;
  return rig;
}

}  // namespace sweepflux::test
