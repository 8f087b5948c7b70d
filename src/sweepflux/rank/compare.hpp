#pragma once

#include "sweepflux/rank/campaign_check.hpp"
#include "sweepflux/rank/equal_sound.hpp"
#include "sweepflux/rank/equal_thrust.hpp"
#include "sweepflux/rank/fan_at_setting.hpp"
#include "sweepflux/rank/growth.hpp"
#include "sweepflux/rank/ranking.hpp"
#include "sweepflux/rank/seat.hpp"
#include "sweepflux/rank/shown_profile.hpp"
#include "sweepflux/rank/variants.hpp"

#include <optional>
#include <string>
#include <vector>

namespace sweepflux {

struct CompareOptions {
  /// Downstream of the outlet, where flow and centreline speed are ranked and predicted, > 0. Empty: the
  /// distance that most entries were mapped at, else 2 m.
  std::vector<double> distances_m;
  std::vector<double> wished_speeds_m_s{0.25, 0.5, 1.0};  ///< each > 0
  SharedErrors shared;
  std::optional<double> sound_level_db;  ///< at which fans are compared; empty: what most can do
  std::optional<Seat> seat;              ///< in place of those that the files state
};

/// Fans side by side.
struct Comparison {
  std::vector<FanAtSetting> entries;  ///< one a fan, variant and setting, in that order
  std::vector<std::string> fans;      ///< series of the entries (fan and variant), in their order
  std::vector<double> distances_m;    ///< downstream, nearest first
  std::vector<Ranking> rankings;
  std::vector<EqualThrust> equal_thrust;
  std::vector<Growth> growths;
  std::vector<PredictedStream> predicted;
  std::vector<VariantDifference> variants;
  std::optional<CampaignCheck> probe_check;
  std::vector<EqualSound> equal_sounds;
  std::vector<SeatSpeed> seats;
  std::vector<SeatChoice> seat_choices;
  std::vector<ShownProfile> profiles;  ///< at each of distances_m
  std::vector<std::string> summary;   ///< what a reader should know first, one sentence each
  std::vector<std::string> warnings;  ///< what was left out, and why
  CompareOptions options;
};

/// Combines all measurements of one fan at one setting (combine_entries), ranks them, says which
/// differ at 95 %, predicts throw, and measures growth. Differences use each row's own uncertainty; what rows share by the same
/// probe or balance is counted once, times the difference.
///
/// @throws InputError  no entries, a fan without a name, or an option out of range
[[nodiscard]] Comparison compare(std::vector<FanAtSetting> entries,
                                 const CompareOptions& options = {});

}  // namespace sweepflux
