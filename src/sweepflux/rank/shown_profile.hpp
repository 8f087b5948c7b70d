#pragma once

#include "sweepflux/rank/fan_at_setting.hpp"
#include "sweepflux/rank/throw.hpp"

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace sweepflux {

/// A profile at a distance asked for.
struct ShownProfile {
  std::size_t entry = 0;
  double downstream_m = 0.0;  ///< asked for
  Profile profile;
  /// Where it was mapped, when no plane lies within 5 % and it was carried by the fitted
  /// similarity; its interval is wider then.
  std::optional<double> carried_from_m;
};

/// Profiles of every mapped entry: of the plane that lies there, else of the nearest one carried by
/// the fan's fitted law (widths with the half-width, speeds with the centre speed). Nothing is
/// carried nearer than two thirds of the nearest plane of the fan, farther than one and a half
/// times its farthest, or to where the room no longer lets a free stream run.
///
/// The carried interval adds the uncertainty of the virtual origin; within eight outlet sizes,
/// where speeds decay by an exponent between 0 and 1, also that of the exponent: rectangular over
/// 1, half of that where the law rests on two planes or more.
[[nodiscard]] std::vector<ShownProfile> profiles_at(std::span<const FanAtSetting> entries,
                                                    std::span<const PredictedStream> predicted,
                                                    double downstream_m);

}  // namespace sweepflux
