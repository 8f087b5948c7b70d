#include "sweepflux/derive/log/gusts.hpp"

#include "sweepflux/base/correlated_mean.hpp"
#include "sweepflux/base/error.hpp"
#include "sweepflux/base/statistics.hpp"
#include "sweepflux/capture/log/read_log.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>
#include <vector>

namespace sweepflux {
namespace {

constexpr std::size_t fewest_values = 64;
constexpr std::size_t most_blocks = 4096;
constexpr std::size_t fewest_cycles = 4;
constexpr double least_share = 0.1;
constexpr double false_alarm = 0.01;

/// Means over equal blocks, the straight run taken off.
std::vector<double> evened(std::span<const double> values, std::size_t size) {
  std::vector<double> blocks;
  for (std::size_t i = 0; i + size <= values.size(); i += size) {
    blocks.push_back(mean(values.subspan(i, size)));
  }
  const double n = static_cast<double>(blocks.size());
  const double middle = mean(blocks);
  double slope = 0.0;
  for (std::size_t i = 0; i < blocks.size(); ++i) {
    slope += (static_cast<double>(i) - 0.5 * (n - 1.0)) * (blocks[i] - middle);
  }
  slope /= n * (n * n - 1.0) / 12.0;
  for (std::size_t i = 0; i < blocks.size(); ++i) {
    blocks[i] -= middle + slope * (static_cast<double>(i) - 0.5 * (n - 1.0));
  }
  return blocks;
}

/// Power at k cycles over the whole length, k = 0 ... n / 2; the sum over k is half the squares.
std::vector<double> periodogram(const std::vector<double>& values) {
  const std::size_t n = values.size();
  std::vector<double> power(n / 2 + 1, 0.0);
  for (std::size_t k = 1; k < power.size(); ++k) {
    const double turn = 2.0 * std::numbers::pi * static_cast<double>(k) / static_cast<double>(n);
    const double twice = 2.0 * std::cos(turn);
    double now = 0.0, before = 0.0;  // Goertzel's recursion
    for (const double v : values) {
      const double next = v + twice * now - before;
      before = now;
      now = next;
    }
    power[k] = (now * now + before * before - twice * now * before) / static_cast<double>(n);
  }
  return power;
}

/// What noise alone has around k: the median of an octave on both sides, the line itself left out.
/// A median of exponential values is ln 2 of their mean.
double background(const std::vector<double>& power, std::size_t k) {
  std::vector<double> around;
  const std::size_t from = std::max<std::size_t>(1, k / 2);
  const std::size_t to = std::min(power.size() - 1, std::max(2 * k, k + 8));
  for (std::size_t i = from; i <= to; ++i) {
    if (i + 2 < k || i > k + 2) {
      around.push_back(power[i]);
    }
  }
  return around.size() < 5 ? 0.0 : median(around) / std::numbers::ln2;
}

void find_period(Gustiness& gusts, const std::vector<double>& values, double step_s) {
  const std::vector<double> power = periodogram(values);
  const double all = std::accumulate(power.begin(), power.end(), 0.0);
  const auto tried = static_cast<double>(power.size());
  // A line's power over the background is exponential for noise; few neighbours make the
  // background unsure, which a factor covers.
  const double limit = 1.5 * -std::log(false_alarm / tried);
  std::size_t best = 0;
  for (std::size_t k = fewest_cycles; k + 1 < power.size(); ++k) {
    const double floor = background(power, k);
    if (floor > 0.0 && power[k] > limit * floor && (best == 0 || power[k] > power[best])) {
      best = k;
    }
  }
  if (best == 0) {
    return;
  }
  double line = 0.0, centre = 0.0;
  for (std::size_t k = best - 2; k <= std::min(best + 2, power.size() - 1); ++k) {
    line += power[k];
    centre += power[k] * static_cast<double>(k);
  }
  if (line < least_share * all) {
    return;
  }
  const double cycles = centre / line;
  const double length_s = step_s * static_cast<double>(values.size());
  // A period is known no better than a line of the spectrum is wide, as a rectangle.
  gusts.period_s = Measured{length_s / cycles, length_s / (cycles * cycles) / std::sqrt(12.0)};
  gusts.period_share = std::min(1.0, line / all);
}

}  // namespace

Gustiness gusts_of(std::span<const double> speed_m_s, double step_s) {
  if (speed_m_s.size() < fewest_values || !(step_s > 0.0)) {
    throw InputError("gusts need 64 values at even steps or more");
  }
  Gustiness gusts;
  gusts.values = speed_m_s.size();
  gusts.length_s = step_s * static_cast<double>(speed_m_s.size());
  gusts.mean_m_s = mean(speed_m_s);
  if (!(gusts.mean_m_s > 0.0)) {
    throw InputError("gusts need a mean speed above zero; is the fan running?");
  }
  const double spread = standard_deviation(speed_m_s);
  const std::size_t size = (speed_m_s.size() + most_blocks - 1) / most_blocks;
  const std::vector<double> blocks = evened(speed_m_s, size);
  const SeriesCorrelation correlation = series_correlation(blocks);
  gusts.integral_time_s =
      correlation.integral_time * step_s * static_cast<double>(size);
  const double intensity = spread / gusts.mean_m_s;
  gusts.turbulence = {intensity,
                      intensity / std::sqrt(2.0 * std::max(1.0, correlation.effective_samples))};
  if (spread > 0.0) {
    find_period(gusts, blocks, step_s * static_cast<double>(size));
  }
  return gusts;
}

std::optional<Gustiness> read_gusts(const Survey& survey) {
  if (!survey.gusts) {
    return std::nullopt;
  }
  const std::filesystem::path& file = survey.gusts->file;
  LogFormat format = log_format(survey.gusts->recipe, survey.rig.motion);
  LogReader reader(file, format);
  std::vector<double> time_s, speed_m_s;
  std::size_t left_out = 0;
  while (const LogSample* sample = reader.next()) {
    if (sample->fault == SampleFault::none && std::isfinite(sample->time_s)) {
      time_s.push_back(sample->time_s);
      speed_m_s.push_back(sample->value);
    } else {
      ++left_out;
    }
  }
  if (speed_m_s.size() < fewest_values) {
    throw InputError(file.string() + ": holds " + std::to_string(speed_m_s.size()) +
                     " values, gusts need 64 or more");
  }
  std::vector<double> steps_s;
  for (std::size_t i = 1; i < time_s.size(); ++i) {
    steps_s.push_back(time_s[i] - time_s[i - 1]);
  }
  const double step_s = median(steps_s);
  const double whole = step_s * static_cast<double>(steps_s.size());
  if (!(step_s > 0.0) || std::abs(time_s.back() - time_s.front() - whole) > 0.1 * whole) {
    throw InputError(file.string() +
                     ": its times are not at even steps, or have gaps of more than a tenth; gusts "
                     "need one run of the logger");
  }
  try {
    Gustiness gusts = gusts_of(speed_m_s, step_s);
    gusts.left_out = left_out;
    return gusts;
  } catch (const InputError& error) {
    throw InputError(file.string() + ": " + error.what());
  }
}

}  // namespace sweepflux
