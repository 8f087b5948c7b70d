#pragma once

#include "sweepflux/rank/fan_at_setting.hpp"

#include <optional>
#include <vector>

namespace sweepflux {

/// How the flow of one fan grows with distance.
struct Growth {
  std::size_t entry = 0;
  std::size_t planes = 0;
  std::optional<Measured> per_metre_m2_s;    ///< dQ/dx; needs two planes
  std::optional<Measured> entrainment;       ///< dQ/dx / sqrt(T / rho); 0.282 in [Ricou 1961]
  std::optional<Measured> outlet_flow_m3_s;  ///< thrust-derived, uniform-outlet convention
  /// Flow of each plane less the outlet's: the room air dragged along. Empty without a thrust.
  std::vector<Measured> dragged_m3_s;
};

/// Straight line of flow against distance, weighted by each plane's own uncertainty; the probe's share,
/// common to all planes, is added to the slope. With two planes the line is exact and its uncertainty
/// that of the two.
[[nodiscard]] Growth growth_of(const FanAtSetting& fan);

}  // namespace sweepflux
