#include "sweepflux/derive/log/finish_sweep.hpp"

#include "sweepflux/base/count_text.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/log/sensor_watch.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

namespace sweepflux {
namespace {

constexpr double degree = std::numbers::pi / 180.0;

std::string with_uncertainty(const Measured& m, double unit, const char* name) {
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
                               : (motion == Motion::swivel ? 0.25 * degree : 0.002);
  std::vector<ReducedReading>& readings = reduced.readings;
  reduced.backlash = find_backlash(timed(readings));
  reduced.drift = find_drift(timed(readings), tolerance);
  if (reduced.backlash) {
    const Backlash& backlash = *reduced.backlash;
    reduced.backlash_corrected =
        settings.correct && backlash.significant && backlash.edge_share < 0.2;
    reduced.remarks.push_back("half the gap of the ways there and back is " +
                              (motion == Motion::swivel
                                   ? with_uncertainty(backlash.half_gap, degree, "deg")
                                   : with_uncertainty(backlash.half_gap, 1e-3, "mm")) +
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
    reduced.remarks.push_back("the repeats lie too close in time to determine a drift");
    reduced.drift.reset();
  }
  if (reduced.drift) {
    const Drift& drift = *reduced.drift;
    reduced.drift_corrected = settings.correct && drift.significant;
    reduced.remarks.push_back("drift from " + count_text(drift.repeats, "repeat") + " is " +
                              with_uncertainty(drift.rate_per_s, 0.01 / 3600.0, "%/h") +
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

/// Rows that hold a value.
std::size_t usable_rows(const LogCounts& counts) {
  return counts.rows - std::min(counts.rows,
                                counts.missing + counts.over_range + counts.under_range +
                                    counts.unreadable + counts.undated);
}

/// A sweep that lost most of its stops is no sweep.
void refuse_lost_stops(const ReducedLog& reduced) {
  const std::size_t lost = reduced.left_out.size();
  const std::size_t used = reduced.readings.size();
  if (lost <= used) {
    return;
  }
  constexpr std::size_t most_reasons = 3;
  std::string words = "only " + std::to_string(used) + " of " + std::to_string(used + lost) +
                      " stops gave a reading";
  for (std::size_t i = 0; i < std::min(lost, most_reasons); ++i) {
    const LeftOut& one = reduced.left_out[i];
    words += (i == 0 ? ": " : "; ") +
             (one.line > 0 ? "line " + std::to_string(one.line) + ": " : std::string()) +
             one.reason;
  }
  words += lost > most_reasons ? "; ..." : "";
  if (!reduced.counts.first_faults.empty()) {
    const Finding& first = reduced.counts.first_faults.front();
    words += "; the first row that cannot be read is line " + std::to_string(first.spot.line) + ": " +
             first.text;
  }
  throw NumericalError(words);
}

/// One reading, and elsewhere as many rows as it rests on: positions in another unit lie within the
/// tolerance of each other, and a rig that goes on too fast rests nowhere.
void refuse_single_rest(const ReducedLog& reduced, bool by_list) {
  if (by_list || reduced.readings.size() != 1) {
    return;
  }
  const std::size_t elsewhere = reduced.moving_rows;
  if (2 * elsewhere >= reduced.counts.rows) {
    throw NumericalError(
        "the rig rested at one place only, " +
        place_text(reduced.readings.front().position, reduced.motion) + "; " +
        std::to_string(elsewhere) + " of " + count_text(reduced.counts.rows, "row") +
        " belong to no rest: is the unit of the positions right, and did the rig rest long enough?");
  }
}

/// Angles in radians under a heading in degrees, or the other way round.
void warn_of_angle_unit(const ReducedLog& reduced, std::vector<std::string>& warnings) {
  if (reduced.motion != Motion::swivel || reduced.readings.size() < 3) {
    return;
  }
  const auto [low, high] = std::minmax_element(
      reduced.readings.begin(),
      reduced.readings.end(),
      [](const ReducedReading& a, const ReducedReading& b) { return a.position < b.position; });
  const double span = high->position - low->position;
  const std::string range = "the angles run from " + place_text(low->position, Motion::swivel) +
                            " to " + place_text(high->position, Motion::swivel);
  // A sweep of 120 degrees, read in radians, is 2.1; of one degree, read as radians, 57.
  if (span < 2.5 * degree) {
    warnings.push_back(range + ": are they in radians?");
  } else if (span > 360.0 * degree) {
    warnings.push_back(range + ", more than a turn: are they in degrees?");
  }
}

}  // namespace

bool ErrorPool::judge(std::span<Dwell> dwells) {
  constexpr std::size_t most = 2000;  // are as good as more
  for (; looked_at_ < dwells.size(); ++looked_at_) {
    const MeanEvidence& evidence = dwells[looked_at_].reading.evidence;
    if (learn_at_ <= most && evidence.degrees > 0.0F) {
      seen_.push_back(evidence);
      if (seen_.size() == learn_at_) {
        prior_ = pooled_correlation_prior(seen_);
        learn_at_ += learn_at_ / 2;
      }
    }
    for (; prior_ && judged_ <= looked_at_; ++judged_) {
      StretchMean& reading = dwells[judged_].reading;
      if (reading.evidence.degrees > 0.0F) {
        reading.standard_error = standard_error_of_mean(reading.evidence, *prior_);
      }
    }
  }
  return prior_.has_value();
}

void note_counts(ReducedLog& reduced) {
  const LogCounts& counts = reduced.counts;
  const auto note = [&](std::size_t count, const char* of_one, const char* of_many) {
    if (count > 0) {
      reduced.warnings.push_back(count_text(count, "row") + " " + (count == 1 ? of_one : of_many));
    }
  };
  note(counts.missing, "holds no value", "hold no value");
  note(counts.over_range, "is over range", "are over range");
  note(counts.under_range, "is under range", "are under range");
  note(counts.unreadable, "cannot be read", "cannot be read");
  note(counts.undated, "has no time and was left out", "have no time and were left out");
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

void finish_sweep(const DwellFinder& finder,
                  std::vector<Dwell> dwells,
                  const ReduceSettings& settings,
                  ReducedLog& reduced) {
  reduced.motion = settings.format.motion;
  if (reduced.counts.rows > 0 && usable_rows(reduced.counts) == 0) {
    std::vector<Finding> findings = reduced.counts.first_faults;
    findings.push_back({{reduced.file, 0, 0}, "no row of the log holds a value"});
    throw SurveyError(std::move(findings));
  }
  reduced.settle_s = finder.learnt().settle_s;
  reduced.step_response = finder.learnt().response;
  reduced.moving_rows += finder.moving_rows();
  reduced.unused_rests = finder.unused();
  for (const std::string& warning : finder.warnings()) {
    reduced.warnings.push_back(warning);
  }
  for (const std::string& remark : finder.remarks()) {
    reduced.remarks.push_back(remark);
  }
  for (const UnusedRest& rest : finder.unused()) {
    if (rest.lost_stop) {
      reduced.left_out.push_back(
          {rest.first_line,
           "no reading at " + place_text(rest.position, reduced.motion) + ": " + rest.reason,
           false});
    }
  }
  if (!ErrorPool().judge(dwells)) {
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
      const std::string reason = "no reading at " + place_text(dwell.position, reduced.motion) +
                                 ": " +
                                 (dwell.warnings.empty() ? "no value" : dwell.warnings.front());
      const bool over_range = dwell.over_range > 0 && dwell.values == 0;
      reduced.warnings.push_back(reason);
      reduced.left_out.push_back({dwell.first_line, reason, over_range});
    }
  }
  std::vector<Dwell>().swap(dwells);  // of a long log they are most of the memory
  refuse_lost_stops(reduced);
  refuse_single_rest(reduced, !settings.dwells.stops.empty() || settings.pattern.has_value());
  warn_of_angle_unit(reduced, reduced.warnings);
  find_and_correct(settings, reduced);
  note_counts(reduced);
}

}  // namespace sweepflux
