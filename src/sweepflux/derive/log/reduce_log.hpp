#pragma once

#include "sweepflux/base/interrupt.hpp"
#include "sweepflux/capture/log/read_log.hpp"
#include "sweepflux/capture/survey/survey.hpp"
#include "sweepflux/derive/log/continuous.hpp"
#include "sweepflux/derive/log/drift.hpp"
#include "sweepflux/derive/log/dwells.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace sweepflux {

/// How a raw log becomes a sweep.
struct ReduceSettings {
  LogFormat format;
  DwellOptions dwells;
  /// A known regular sweep, for logs without a position. Begins at dwells.begin_s when that is
  /// stated, else where the signal shows it.
  std::optional<StepPattern> pattern;
  bool continuous = false;  ///< the fan turned without stopping
  ContinuousOptions continuous_options;
  double starting_speed_m_s = 0.0;  ///< of the probe; 0: unknown
  double full_scale_m_s = 0.0;      ///< of the probe; 0: unknown
  bool correct = true;              ///< take off backlash and drift where they are significant
};

/// A raw log, reduced. The raw file was only read.
struct ReducedLog {
  std::filesystem::path file;
  Motion motion = Motion::swivel;
  std::vector<ReducedReading> readings;  ///< in the order of the log; by position if continuous
  std::vector<LeftOut> left_out;         ///< stops without a reading; `line` is their first
  std::vector<UnusedRest> unused_rests;  ///< rests that were taken for no stop, or lost
  LogCounts counts;
  double settle_s = 0.0;
  StepResponse step_response;
  std::optional<double> pattern_begin_s;
  std::optional<Drift> drift;
  bool drift_corrected = false;
  std::optional<Backlash> backlash;
  bool backlash_corrected = false;
  std::optional<ContinuousSweep> continuous;
  std::size_t moving_rows = 0;        ///< belong to no dwell
  std::vector<std::string> remarks;   ///< settings and findings, in words
  std::vector<std::string> warnings;  ///< of the log as a whole
};

/// When a regular sweep began, on the mended clock of its log, row by row.
class BeginSearch {
 public:
  explicit BeginSearch(const StepPattern& pattern);

  void add(const LogSample& sample) { clock_.add(sample); }
  /// @throws NumericalError  as PatternFinder
  [[nodiscard]] double begin_s();

 private:
  PatternFinder finder_;
  double length_s_;
  std::optional<double> first_s_;
  ClockMender clock_;
};

/// Sets the begin that was found, and says so.
void note_begin(double begin_s, DwellOptions& options, ReducedLog& reduced);

/// Reads a raw log and reduces it, in memory that does not grow with its rows.
///
/// @throws SurveyError     the log cannot be read; all faults at once
/// @throws InputError      a setting is out of range, or nothing tells the position
/// @throws NumericalError  no dwell was found, or the pattern does not show
/// @throws Interrupted     the user stopped it
[[nodiscard]] ReducedLog reduce_log(const std::filesystem::path& file,
                                    const ReduceSettings& settings,
                                    const Progress& progress = {});

/// A reduced log as a sweep of a survey; the lines of its readings are those of the raw log.
[[nodiscard]] Sweep sweep_of(const ReducedLog& reduced, double distance_m, double height_m);

}  // namespace sweepflux
