#include "sweepflux/derive/log/reduce_log.hpp"

#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/log/sensor_watch.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace sweepflux {
namespace {

constexpr std::size_t rows_between_looks = 1U << 16;

std::string length_text(double value, Motion motion) {
  return motion == Motion::swivel ? format_number(value / degree_rad, 3) + " deg"
                                  : format_number(1e3 * value, 3) + " mm";
}

std::string with_doubt(const Measured& m, double unit, const char* name) {
  return format_with_uncertainty(m.value / unit, m.standard_uncertainty / unit, name);
}

std::vector<TimedReading> timed(const std::vector<ReducedReading>& readings) {
  std::vector<TimedReading> all;
  for (const ReducedReading& r : readings) {
    all.push_back({r.position, r.direction, r.time_s, r.speed_m_s, r.standard_error_m_s});
  }
  return all;
}

void find_and_correct(const ReduceSettings& settings, ReducedLog& reduced) {
  const Motion motion = settings.format.motion;
  const double tolerance = settings.dwells.position_tolerance > 0.0
                               ? settings.dwells.position_tolerance
                               : (motion == Motion::swivel ? 0.25 * degree_rad : 0.002);
  std::vector<ReducedReading>& readings = reduced.readings;
  reduced.backlash = find_backlash(timed(readings));
  reduced.drift = find_drift(timed(readings), tolerance);
  if (reduced.backlash) {
    const Backlash& backlash = *reduced.backlash;
    reduced.backlash_corrected =
        settings.correct && backlash.significant && backlash.edge_share < 0.2;
    reduced.remarks.push_back("half the gap of the ways there and back is " +
                              (motion == Motion::swivel
                                   ? with_doubt(backlash.half_gap, degree_rad, "deg")
                                   : with_doubt(backlash.half_gap, 1e-3, "mm")) +
                              (reduced.backlash_corrected ? "; each way was moved by it"
                               : backlash.significant     ? "; not taken off"
                                                          : "; not significant, not taken off"));
    if (backlash.significant && backlash.edge_share >= 0.2) {
      reduced.warnings.push_back(
          "the stream reaches the ends of the sweep, so the gap of the two ways is not to be "
          "trusted and was not taken off");
    }
  }
  // Repeats at nearly one moment, as after a restart of the logger's clock, tell no drift.
  if (reduced.drift &&
      !(reduced.drift->span_s > 1.0 &&
        reduced.drift->rate_per_s.standard_uncertainty * reduced.drift->span_s < 1.0)) {
    reduced.remarks.push_back("the repeats lie too near in time to tell a drift");
    reduced.drift.reset();
  }
  if (reduced.drift) {
    const Drift& drift = *reduced.drift;
    reduced.drift_corrected = settings.correct && drift.significant;
    reduced.remarks.push_back("drift from " + std::to_string(drift.repeats) + " repeats is " +
                              with_doubt(drift.rate_per_s, 0.01 / 3600.0, "%/h") +
                              (reduced.drift_corrected ? "; taken off, about the middle of the log"
                               : drift.significant     ? "; not taken off"
                                                       : "; not significant, not taken off"));
  }
  if (reduced.backlash_corrected) {
    for (ReducedReading& r : readings) {
      r.position -= r.direction * reduced.backlash->half_gap.value;
    }
  }
  if (reduced.drift_corrected && !readings.empty()) {
    const double middle_s = 0.5 * (readings.front().time_s + readings.back().time_s);
    for (ReducedReading& r : readings) {
      const double away_s = r.time_s - middle_s;
      const double gain = std::exp(-reduced.drift->rate_per_s.value * away_s);
      r.speed_m_s *= gain;
      r.spread_m_s *= gain;
      r.standard_error_m_s =
          std::hypot(r.standard_error_m_s * gain,
                     r.speed_m_s * reduced.drift->rate_per_s.standard_uncertainty * away_s);
    }
  }
}

/// Judges all standard errors again, each dwell with the correlation times of the others in sight.
/// False when they are too few for that.
bool pool_errors(std::vector<Dwell>& dwells) {
  constexpr std::size_t fewest = 8;
  constexpr std::size_t most = 2000;  // evenly picked, are as good as all
  std::vector<MeanEvidence> all;
  const std::size_t every = dwells.size() / most + 1;
  for (std::size_t i = 0; i < dwells.size(); i += every) {
    if (dwells[i].reading.evidence.degrees > 0.0F) {
      all.push_back(dwells[i].reading.evidence);
    }
  }
  if (all.size() < fewest) {
    return false;
  }
  const CorrelationPrior prior = pooled_correlation_prior(all);
  for (Dwell& dwell : dwells) {
    if (dwell.reading.evidence.degrees > 0.0F) {
      dwell.reading.standard_error = standard_error_of_mean(dwell.reading.evidence, prior);
    }
  }
  return true;
}

void warn_of_few_values(const std::vector<Dwell>& dwells, std::vector<std::string>& warnings) {
  const auto few = std::count_if(dwells.begin(), dwells.end(), [](const Dwell& dwell) {
    return dwell.reading.evidence.degrees > 0.0F && dwell.reading.samples < fewest_values_alone;
  });
  if (few > 0) {
    warnings.push_back(std::to_string(few) + (few == 1 ? " dwell has" : " dwells have") +
                       " fewer than " + std::to_string(fewest_values_alone) +
                       " values, and the sweep too few dwells to learn their correlation from: "
                       "the standard errors may be too small; dwell longer, or log faster");
  }
}

void note_counts(ReducedLog& reduced) {
  const LogCounts& counts = reduced.counts;
  const auto note = [&](std::size_t count, const std::string& what) {
    if (count > 0) {
      reduced.warnings.push_back(std::to_string(count) + " rows " + what);
    }
  };
  note(counts.missing, "hold no value");
  note(counts.over_range, "are over range");
  note(counts.under_range, "are under range");
  note(counts.unreadable, "cannot be read");
  note(counts.undated, "have no time and were left out");
  if (counts.cut_line > 0) {
    reduced.warnings.push_back("line " + std::to_string(counts.cut_line) +
                               " has no end and was left out: its last number may be cut");
  }
  if (counts.segments > 1) {
    reduced.warnings.push_back("the heading stands " + std::to_string(counts.segments) +
                               " times: the logger was started anew");
  }
  for (const Finding& finding : counts.first_faults) {
    reduced.warnings.push_back("line " + std::to_string(finding.spot.line) + ": " + finding.text);
  }
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
  ClockWatch clock;
  read_through(reader, size_of(reduced.file), progress, [&](const LogSample& sample) {
    (void)clock.add(sample.time_s, sample.line);
    reducer.add(sample);
  });
  if (!reader.has_position()) {
    throw InputError(reduced.file.string() +
                     ": a continuous sweep needs the angle in a column of the log");
  }
  reduced.continuous = reducer.finish();
  const ContinuousSweep& sweep = *reduced.continuous;
  for (const BinReading& bin : sweep.bins) {
    ReducedReading r;
    r.position = bin.position;
    r.speed_m_s = bin.speed_m_s;
    r.spread_m_s = bin.spread_m_s;
    r.standard_error_m_s = bin.standard_error_m_s;
    r.turbulence_intensity = bin.spread_m_s / bin.speed_m_s;
    r.integral_time_s = std::numeric_limits<double>::quiet_NaN();
    r.effective_samples = std::numeric_limits<double>::quiet_NaN();
    r.samples = bin.samples;
    r.dwell_s = bin.dwell_s;
    r.time_s = bin.time_s;
    r.first_line = bin.first_line;
    r.last_line = bin.last_line;
    reduced.readings.push_back(std::move(r));
  }
  reduced.backlash = sweep.gap;
  reduced.warnings = clock.warnings();
  reduced.remarks = sweep.remarks;
  if (sweep.gap && sweep.lag_s) {
    reduced.remarks.push_back("half the gap of the ways there and back is " +
                              length_text(sweep.gap->half_gap.value, settings.format.motion) +
                              " or " + with_doubt(*sweep.lag_s, 1.0, "s"));
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
  PatternFinder finder(*settings.pattern);
  LogReader reader(file, settings.format);
  read_through(reader, 2.0 * size_of(file), progress, [&](const LogSample& sample) {
    if (sample.fault == SampleFault::none) {
      finder.add(sample.time_s, sample.value);
    }
  });
  return finder.begin_s();
}

}  // namespace

ReducedReading reading_of(const Dwell& dwell) {
  ReducedReading r;
  r.position = dwell.position;
  r.direction = dwell.direction;
  r.speed_m_s = dwell.reading.mean;
  r.spread_m_s = dwell.reading.standard_deviation;
  r.standard_error_m_s = dwell.reading.standard_error;
  r.turbulence_intensity = dwell.turbulence_intensity();
  r.integral_time_s = dwell.reading.integral_time_s;
  r.effective_samples = dwell.reading.effective_samples;
  r.samples = dwell.reading.samples;
  r.dwell_s = dwell.dwell_s();
  r.time_s = dwell.reading.first_time_s;
  r.first_line = dwell.reading.first_line;
  r.last_line = dwell.reading.last_line;
  r.warnings = dwell.warnings;
  return r;
}

void finish_readings(std::vector<Dwell> dwells,
                     const ReduceSettings& settings,
                     ReducedLog& reduced) {
  if (!pool_errors(dwells)) {
    warn_of_few_values(dwells, reduced.warnings);
  }
  watch_sensor(dwells, settings.starting_speed_m_s, settings.full_scale_m_s);
  if (dwells.size() > 1 && dwells[0].direction == 0) {
    dwells[0].direction = dwells[1].direction;  // it was reached before the log began
  }
  reduced.readings.reserve(dwells.size());
  for (const Dwell& dwell : dwells) {
    if (dwell.reading.samples > 0) {
      reduced.readings.push_back(reading_of(dwell));
    } else {
      const std::string reason = "no reading at " +
                                 length_text(dwell.position, settings.format.motion) + ": " +
                                 (dwell.warnings.empty() ? "no value" : dwell.warnings.front());
      const bool over_range = dwell.over_range > 0 && dwell.values == 0;
      reduced.warnings.push_back(reason);
      reduced.left_out.push_back({dwell.first_line, reason, over_range});
    }
  }
  std::vector<Dwell>().swap(dwells);  // of a long log they are most of the memory
  find_and_correct(settings, reduced);
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
      options.begin_s = find_begin(file, settings, progress);
      reduced.pattern_begin_s = options.begin_s;
      reduced.remarks.push_back("the sweep began " + format_number(*options.begin_s, 6) +
                                " s on the log's clock, found from the signal");
    }
  }
  LogReader reader(file, settings.format);
  if (settings.continuous) {
    reduce_continuous(reader, settings, progress, reduced);
  } else {
    std::vector<Dwell> dwells;
    DwellFinder finder(options, [&](Dwell dwell) { dwells.push_back(std::move(dwell)); });
    bool asked = !options.stops.empty();
    read_through(reader, size_of(file), progress, [&](const LogSample& sample) {
      if (!asked && !reader.has_position()) {
        throw InputError(file.string() +
                         ": the log has no angle column; name it, give a list of steps, or give "
                         "the sweep's pattern (start, step, stops, dwell)");
      }
      asked = true;
      finder.add(sample);
    });
    finder.finish();
    reduced.settle_s = finder.learnt().settle_s;
    reduced.step_response = finder.learnt().response;
    reduced.moving_rows = finder.moving_rows();
    reduced.warnings = finder.clock().warnings();
    for (const std::string& remark : finder.remarks()) {
      reduced.remarks.push_back(remark);
    }
    finish_readings(std::move(dwells), settings, reduced);
  }
  reduced.counts = reader.counts();
  note_counts(reduced);
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
