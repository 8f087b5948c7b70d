#pragma once

#include "sweepflux/rank/equal_thrust.hpp"
#include "sweepflux/rank/fan_at_setting.hpp"
#include "sweepflux/rank/growth.hpp"
#include "sweepflux/rank/ranking.hpp"
#include "sweepflux/rank/throw.hpp"

#include <string>
#include <vector>

namespace sweepflux {

/// The stream of one entry, predicted.
struct PredictedStream {
  std::size_t entry = 0;
  StreamLaw shape;
  std::vector<StreamPrediction> along;  ///< at the distances asked for
  std::vector<StreamPrediction> curve;  ///< at even steps, all entries alike, for a picture
  std::vector<Throw> throws;             ///< for the speeds asked for
  std::vector<std::string> conditions;
};

struct CompareOptions {
  /// Downstream of the outlet, where flow and centreline speed are ranked and predicted, > 0. Empty: the
  /// distance that most entries were mapped at, else 2 m.
  std::vector<double> distances_m;
  std::vector<double> wished_speeds_m_s{0.25, 0.5, 1.0};  ///< each > 0
  SharedErrors shared;
};

/// Fans side by side.
struct Comparison {
  std::vector<FanAtSetting> entries;  ///< by fan (order of first appearance), then setting
  std::vector<std::string> fans;      ///< order of first appearance
  std::vector<double> distances_m;    ///< downstream, nearest first
  std::vector<Ranking> rankings;
  std::vector<EqualThrust> equal_thrust;
  std::vector<Growth> growths;
  std::vector<PredictedStream> predicted;
  std::vector<std::string> summary;   ///< what a reader should know first, one sentence each
  std::vector<std::string> warnings;  ///< what was left out, and why
  CompareOptions options;
};

/// Ranks fans and settings, says which differ at 95 %, predicts
/// throw, and measures growth. Differences use each row's own uncertainty; what rows share by the same
/// probe or balance is counted once, times the difference.
///
/// @throws InputError  no entries, a fan without a name, or an option out of range
[[nodiscard]] Comparison compare(std::vector<FanAtSetting> entries,
                                 const CompareOptions& options = {});

}  // namespace sweepflux
