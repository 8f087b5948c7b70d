#include "sweepflux/derive/log/reduce_log.hpp"

#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/log/finish_sweep.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

namespace sweepflux {
namespace {

constexpr std::size_t rows_between_looks = 1U << 16;

std::string length_text(double value, Motion motion) {
  return motion == Motion::swivel ? format_number(value * 180.0 / std::numbers::pi, 3) + " deg"
                                  : format_number(1e3 * value, 3) + " mm";
}

/// Feeds every sample to `take`, with a look at the clock and the user now and then.
template <typename Take>
void read_through(LogReader& reader, double bytes, const Progress& progress, Take take) {
  std::size_t rows = 0;
  while (const LogSample* sample = reader.next()) {
    take(*sample);
    if (++rows % rows_between_looks == 0) {
      if (progress.stop_wanted && progress.stop_wanted()) {
        throw Interrupted("stopped while reading the log; nothing was written");
      }
      if (progress.report && bytes > 0.0) {
        progress.report("reading the log", static_cast<double>(reader.bytes_read()) / bytes);
      }
    }
  }
}

double size_of(const std::filesystem::path& file) {
  std::error_code failed;
  const auto size = std::filesystem::file_size(file, failed);
  return failed ? 0.0 : static_cast<double>(size);
}

void reduce_continuous(LogReader& reader,
                       const ReduceSettings& settings,
                       const Progress& progress,
                       ReducedLog& reduced) {
  ContinuousOptions options = settings.continuous_options;
  options.motion = settings.format.motion;
  ContinuousReducer reducer(options);
  ClockMender clock([&](const LogSample& sample, ClockMender::Event event) {
    LogSample broken = sample;  // where the clock is, the way may be
    broken.new_segment = sample.new_segment || event != ClockMender::Event::none;
    reducer.add(broken);
  });
  read_through(
      reader, size_of(reduced.file), progress, [&](const LogSample& sample) { clock.add(sample); });
  clock.flush();
  if (!reader.has_position()) {
    throw InputError(reduced.file.string() +
                     ": a continuous sweep needs the angle in a column of the log");
  }
  reduced.continuous = reducer.finish();
  const ContinuousSweep& sweep = *reduced.continuous;
  reduced.readings = sweep.bins;
  reduced.backlash = sweep.gap;
  reduced.warnings = clock.warnings();
  reduced.remarks = sweep.remarks;
  if (sweep.gap && sweep.lag_s) {
    reduced.remarks.push_back(
        "half the gap of the ways there and back is " +
        length_text(sweep.gap->half_gap.value, settings.format.motion) + " or " +
        format_with_uncertainty(sweep.lag_s->value, sweep.lag_s->standard_uncertainty, "s"));
  }
  const double ten = stop_and_go_error(sweep, 10.0, 0.8);
  reduced.remarks.push_back(
      "cost of not stopping: the integral of u^2 over the sweep is known to " +
      format_number(100.0 * sweep.integral_u2_error, 2) + " % after " +
      format_number(sweep.duration_s / 60.0, 2) +
      " min; ten minutes of stop-and-go, 80 % of them dwelling, would give " +
      format_number(100.0 * ten, 2) + " %");
}

double find_begin(const std::filesystem::path& file,
                  const ReduceSettings& settings,
                  const Progress& progress) {
  BeginSearch search(*settings.pattern);
  LogReader reader(file, settings.format);
  read_through(
      reader, 2.0 * size_of(file), progress, [&](const LogSample& sample) { search.add(sample); });
  return search.begin_s();
}

}  // namespace

BeginSearch::BeginSearch(const StepPattern& pattern)
    : finder_(pattern),
      length_s_(end_s(list_stops(pattern).back())),
      clock_(
          [this](const LogSample& sample, ClockMender::Event) {
            first_s_ = first_s_.value_or(sample.time_s);
            if (sample.fault == SampleFault::none) {
              finder_.add(sample.time_s, sample.value);
            }
          },
          [this](double time_s, double step_s) {
            return first_s_ && time_s + step_s < *first_s_ + length_s_;
          }) {}

double BeginSearch::begin_s() {
  clock_.flush();
  return finder_.begin_s();
}

void note_begin(double begin_s, DwellOptions& options, ReducedLog& reduced) {
  options.begin_s = begin_s;
  reduced.pattern_begin_s = begin_s;
  reduced.remarks.push_back("the sweep began " + format_number(begin_s, 6) +
                            " s on the log's clock, found from the signal");
}

ReducedLog reduce_log(const std::filesystem::path& file,
                      const ReduceSettings& settings,
                      const Progress& progress) {
  ReducedLog reduced;
  reduced.file = file;
  reduced.motion = settings.format.motion;
  DwellOptions options = settings.dwells;
  options.motion = settings.format.motion;
  if (settings.pattern && !settings.continuous) {
    options.stops = list_stops(*settings.pattern);
    if (!options.begin_s) {
      note_begin(find_begin(file, settings, progress), options, reduced);
    }
  }
  LogReader reader(file, settings.format);
  if (settings.continuous) {
    reduce_continuous(reader, settings, progress, reduced);
    reduced.counts = reader.counts();
    note_counts(reduced);
  } else {
    std::vector<Dwell> dwells;
    DwellFinder finder(options, [&](Dwell dwell) { dwells.push_back(std::move(dwell)); });
    bool asked = !options.stops.empty();
    read_through(reader, size_of(file), progress, [&](const LogSample& sample) {
      if (!asked && !reader.has_position()) {
        throw InputError(file.string() + no_angle_words);
      }
      asked = true;
      finder.add(sample);
    });
    reduced.counts = reader.counts();
    if (const std::optional<double> begin_s =
            settings.pattern ? std::nullopt : finder.rests().better_begin_s()) {
      throw NumericalError(
          "the signal does not take its steps when the list of stops says: the list fits best when "
          "it begins at " +
          format_number(*begin_s, 6) +
          " s on the log's clock; state so (--begin, begin) if that is when the rig started, else "
          "the sweep that was made");
    }
    finder.finish();
    finish_sweep(finder, std::move(dwells), settings, reduced);
  }
  return reduced;
}

Sweep sweep_of(const ReducedLog& reduced, double distance_m, double height_m) {
  Sweep sweep;
  sweep.file = reduced.file;
  sweep.name = reduced.file.filename().string();
  sweep.distance_m = distance_m;
  sweep.height_m = height_m;
  sweep.left_out = reduced.left_out;
  for (const ReducedReading& r : reduced.readings) {
    Reading reading;
    reading.position = r.position;
    reading.speed_m_s = r.speed_m_s;
    reading.spread_m_s = r.spread_m_s;
    if (std::isfinite(r.standard_error_m_s)) {
      reading.standard_error_m_s = r.standard_error_m_s;
    }
    reading.samples = static_cast<double>(r.samples);
    reading.dwell_s = r.dwell_s;
    reading.time_s = r.time_s;
    reading.line = r.first_line;
    sweep.readings.push_back(reading);
  }
  return sweep;
}

}  // namespace sweepflux
