#include "sweepflux/derive/log/sensor_watch.hpp"

#include "sweepflux/base/count_text.hpp"
#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/statistics.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace sweepflux {
namespace {

constexpr double scatters_from = 0.02;  // turbulence intensity
constexpr double fine_steps = 1.5;      // of the digits, in a standard deviation

std::string of_rows(std::size_t some, std::size_t all) {
  return std::to_string(some) + " of " + count_text(all, "row");
}

constexpr std::size_t fewest_equal = 10;  // values in a row that are no calm

/// Scatter of that share would move the digits at this speed.
bool would_show(double turbulence, double digits, const Dwell& dwell) {
  return turbulence > scatters_from && turbulence * dwell.reading.mean > digits;
}

/// All its values are one, and not that of a vane at rest.
bool holds_one_value(const Dwell& dwell, double starting_speed) {
  return dwell.values >= fewest_equal && dwell.longest_same == dwell.values &&
         dwell.largest > std::max(0.0, starting_speed);
}

void add_stuck(const Dwell& dwell, const SensorContext& context, std::vector<std::string>& words) {
  // Ten equal values in a row from a sensor whose other readings scatter are no calm, where its
  // digits are fine enough to show the like.
  const bool scatters_elsewhere =
      would_show(context.usual_turbulence, context.digit, dwell) ||
      (context.sticks && would_show(context.varied_turbulence, fine_steps * context.digit, dwell));
  const std::size_t limit = std::max(fewest_equal, dwell.values / 2);
  if (scatters_elsewhere && dwell.longest_same >= limit && dwell.zeros < dwell.values &&
      dwell.reading.mean > context.starting_speed) {
    words.push_back("stuck: " + of_rows(dwell.longest_same, dwell.values) +
                    " in a row show the same value");
  }
}

void add_saturated(const Dwell& dwell,
                   const SensorContext& context,
                   std::vector<std::string>& words) {
  // The top of a range that nobody stated is the highest value seen; a probe for fans reads 1 m/s.
  constexpr double least_full_scale_m_s = 1.0;
  const bool known = context.full_scale > 0.0;
  const double top = known                                     ? context.full_scale
                     : context.largest >= least_full_scale_m_s ? context.largest
                                                               : 0.0;
  // A turbulent signal meets its highest value once or twice, a clipped one in a good share. Where
  // the top of the range is not known, a calm signal, a slow gust or coarse digits do the like.
  const std::size_t limit = std::max<std::size_t>(5, dwell.values / (known ? 20 : 10));
  const double step = dwell.largest - dwell.second_largest;
  const bool scatters = context.usual_turbulence > scatters_from &&
                        dwell.reading.standard_deviation > fine_steps * step;
  if (dwell.values > 0 && top > 0.0 && dwell.largest >= top && dwell.at_largest >= limit &&
      dwell.longest_same < dwell.values && (known || scatters)) {
    words.push_back("saturated: " + of_rows(dwell.at_largest, dwell.values) +
                    " stand at the top of the range; the true mean is larger");
  }
}

void add_stalled(const Dwell& dwell,
                 const SensorContext& context,
                 double neighbour_mean,
                 std::vector<std::string>& words) {
  if (dwell.zeros == 0 || dwell.values == 0) {
    return;
  }
  const double share = static_cast<double>(dwell.zeros) / static_cast<double>(dwell.values);
  const bool wind_beside =
      neighbour_mean > std::max(3.0 * context.starting_speed, 0.2 * context.largest_mean);
  if (share == 1.0 && wind_beside) {
    words.push_back("stalled: all rows are 0 while the reading beside it is " +
                    format_number(neighbour_mean, 3) + " m/s");
  } else if (share < 1.0 && share >= 0.05) {
    words.push_back("stalled now and then: " + of_rows(dwell.zeros, dwell.values) +
                    " are 0; the mean is too low");
  }
}

void add_lost(const Dwell& dwell, std::vector<std::string>& words) {
  const std::size_t lost = dwell.missing + dwell.unreadable;
  const std::size_t rows = dwell.values + lost + dwell.over_range;
  if (rows > 0 && 50 * lost > rows) {  // more than 2 %
    words.push_back("drop-outs: " + of_rows(lost, rows) + " hold no value");
  }
  if (dwell.over_range > 0) {
    words.push_back("over range: " + of_rows(dwell.over_range, rows) + "; the true mean is larger");
  }
  if (dwell.gaps > 0) {
    words.push_back(count_text(dwell.gaps, "gap") + " of the clock");
  }
}

void add_short(const Dwell& dwell, std::vector<std::string>& words) {
  const StretchMean& reading = dwell.reading;
  const double intensity = dwell.turbulence_intensity();
  if (reading.samples < 2 || !(reading.standard_deviation > 0.0) || !std::isfinite(intensity)) {
    return;
  }
  // Ten independent values: below, the scatter itself is known to a quarter at best.
  if (reading.effective_samples >= 10.0 || !(reading.integral_time_s > 0.0)) {
    return;
  }
  words.push_back(
      "too short for its turbulence: worth " + format_number(reading.effective_samples, 2) +
      " independent values (integral time " + format_number(reading.integral_time_s, 2) +
      " s, intensity " + percent_text(intensity) + "); " +
      format_number(20.0 * reading.integral_time_s, 2) + " s would give ten");
}

}  // namespace

SensorContext sensor_context(std::span<const Dwell> dwells,
                             double starting_speed,
                             double full_scale) {
  SensorContext context;
  context.starting_speed = starting_speed;
  context.full_scale = full_scale;
  std::vector<double> turbulence;
  std::vector<double> varied;
  for (const Dwell& dwell : dwells) {
    context.largest = std::max(context.largest, dwell.largest);
    const double step = dwell.largest - dwell.second_largest;
    if (step > 0.0 && (context.digit == 0.0 || step < context.digit)) {
      context.digit = step;
    }
    context.largest_mean = std::max(context.largest_mean, dwell.reading.mean);
    const double intensity = dwell.turbulence_intensity();
    if (dwell.reading.samples > 1 && std::isfinite(intensity)) {
      turbulence.push_back(intensity);
      if (dwell.longest_same < dwell.values) {
        varied.push_back(intensity);
      }
    }
  }
  context.usual_turbulence = turbulence.empty() ? 0.0 : median(turbulence);
  context.varied_turbulence = varied.empty() ? 0.0 : median(varied);
  // Where most stops are stuck, the median over all of them says that nothing scatters.
  for (std::size_t i = 1; i < dwells.size(); ++i) {
    const Dwell& last = dwells[i - 1];
    const Dwell& next = dwells[i];
    context.sticks =
        context.sticks ||
        (holds_one_value(last, starting_speed) && holds_one_value(next, starting_speed) &&
         last.largest == next.largest && last.position != next.position &&
         would_show(context.varied_turbulence, fine_steps * context.digit, next));
  }
  return context;
}

std::vector<std::string> sensor_warnings(const Dwell& dwell,
                                         const SensorContext& context,
                                         double neighbour_mean) {
  std::vector<std::string> words;
  add_stuck(dwell, context, words);
  add_saturated(dwell, context, words);
  add_stalled(dwell, context, neighbour_mean, words);
  add_lost(dwell, words);
  add_short(dwell, words);
  return words;
}

void watch_sensor(std::span<Dwell> dwells, double starting_speed, double full_scale) {
  const SensorContext context = sensor_context(dwells, starting_speed, full_scale);
  for (std::size_t i = 0; i < dwells.size(); ++i) {
    double beside = std::numeric_limits<double>::quiet_NaN();
    if (i > 0) {
      beside = dwells[i - 1].reading.mean;
    }
    if (i + 1 < dwells.size()) {
      beside = std::fmax(beside, dwells[i + 1].reading.mean);
    }
    for (std::string& word : sensor_warnings(dwells[i], context, beside)) {
      dwells[i].warnings.push_back(std::move(word));
    }
  }
}

}  // namespace sweepflux
