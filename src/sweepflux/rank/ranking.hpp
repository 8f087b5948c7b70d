#pragma once

#include "sweepflux/rank/fan_at_setting.hpp"
#include "sweepflux/rank/throw.hpp"

#include <array>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace sweepflux {

/// What the entries of a comparison have in common.
struct SharedErrors {
  bool same_probe = false;    ///< one probe read all: its scale error cancels in differences
  bool same_balance = false;  ///< one balance weighed all: its lever's error cancels
};

/// By what fans are ranked.
enum class Criterion { thrust, flow, thrust_per_watt, flow_per_watt, lowest_centreline_speed,
                       thrust_at_sound, flow_at_sound };

/// Those that rank one fan at one setting.
inline constexpr std::array setting_criteria{Criterion::thrust,
                                            Criterion::flow,
                                            Criterion::thrust_per_watt,
                                            Criterion::flow_per_watt,
                                            Criterion::lowest_centreline_speed};

/// One fan at one setting in a ranking.
struct Ranked {
  std::size_t entry = 0;   ///< index into Comparison::entries
  Estimate value;          ///< in the ranking's SI unit
  double shared = 0.0;     ///< relative standard uncertainty common to all rows; cancels in ratios
  bool predicted = false;  ///< from thrust and outlet, not from a map
  std::string where;  ///< of a place between settings: "heron between 3 and 6"; else empty
  std::size_t place = 1;   ///< 1 + how many stand on better places; no two of one place can
                           ///< be distinguished
};

/// Two rows held against each other.
struct Difference {
  std::size_t better = 0;  ///< row of the ranking
  std::size_t worse = 0;
  Estimate difference;  ///< value of `better` minus value of `worse`
  bool different = false;  ///< the 95 % interval does not hold zero
};

struct Ranking {
  Criterion criterion = Criterion::thrust;
  std::optional<double> downstream_m;   ///< where flow and centreline speed are taken
  std::optional<double> sound_level_db = std::nullopt;  ///< at which fans are compared
  std::vector<Ranked> rows;             ///< best first; lowest_centreline_speed: smallest speed first
  std::vector<std::size_t> missing;     ///< entries that do not state this quantity
  std::vector<Difference> differences;  ///< each row with the next, and the first with every other
};

/// Ranks the entries by one criterion. Differences and places use each row's own uncertainty; what rows
/// share is counted once, times the difference.
///
/// @param entries       of all fans
/// @param downstream_m  where flow and centreline speed are taken; a map nearer than 5 % is used, scaled to
///                      the distance, else the prediction handed in
/// @param predicted      one an entry or empty: flow and centre speed where there is no map
[[nodiscard]] Ranking rank_by(Criterion criterion,
                              std::span<const FanAtSetting> entries,
                              double downstream_m,
                              std::span<const std::optional<StreamPrediction>> predicted,
                              const SharedErrors& shared);

/// Sorts the rows, best first, and gives places and differences.
void place_rows(Ranking& ranking);

/// "thrust", "flow", ... as a heading.
[[nodiscard]] std::string words_of(Criterion criterion);
/// The SI unit of its values: "N", "m3/s", "N/W", "m3/s/W", "m/s".
[[nodiscard]] std::string unit_of(Criterion criterion);
/// What the first of a ranking has: "Highest thrust", "Most air", ...
[[nodiscard]] std::string leader_of(Criterion criterion);

/// Difference of two estimates of which a relative part is common.
[[nodiscard]] Difference difference_of(const Ranked& better, const Ranked& worse);

}  // namespace sweepflux
