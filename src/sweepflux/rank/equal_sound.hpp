#pragma once

#include "sweepflux/rank/ranking.hpp"

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace sweepflux {

/// What one fan does at a level of sound that it shares with others.
struct EqualSound {
  std::string series;         ///< the fan, with its variant
  double level_db = 0.0;      ///< A-weighted
  double distance_m = 0.0;    ///< of the meter
  std::size_t entry = 0;      ///< the setting that comes nearest in level
  std::string where;          ///< "heron between 3 and 6"
  std::optional<Estimate> thrust_n;
  std::optional<Estimate> flow_m3_s;  ///< at `downstream_m`
  bool flow_predicted = false;
};

/// The level at which most fans can be compared, those read at the commonest distance; none where
/// no two settings have one.
[[nodiscard]] std::optional<double> common_sound_level(std::span<const FanAtSetting> entries);

/// Each fan at one level. Between two settings the logarithm of thrust and of flow runs straight
/// against the level: thrust goes with the square of the fan's speed of rotation and the level with
/// the logarithm of a power of it. Nothing is carried past a fan's softest or loudest setting, nor
/// from one distance of the meter to another. The level's own uncertainty counts by the slope.
///
/// @param level_db  empty: common_sound_level
[[nodiscard]] std::vector<EqualSound> equal_sound(std::span<const FanAtSetting> entries,
                                                  double downstream_m,
                                                  std::span<const PredictedStream> predicted,
                                                  std::optional<double> level_db);

/// Fans by thrust or flow at the level.
[[nodiscard]] Ranking rank_at_sound(Criterion criterion,
                                    std::span<const EqualSound> fans,
                                    double downstream_m);

/// What a reader must know of sound levels in rooms, one sentence each.
[[nodiscard]] std::vector<std::string> sound_cautions();

}  // namespace sweepflux
