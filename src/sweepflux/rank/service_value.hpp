#pragma once

#include "sweepflux/judge/survey_result.hpp"

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace sweepflux {

/// Flow by rings around the outlet's axis, from one line of readings across it.
struct RingFlow {
  double flow_m3_s = 0.0;
  std::size_t rings = 0;      ///< with air in them
  double edge_left_m = 0.0;  ///< outer edge of the last ring counted, each side
  double edge_right_m = 0.0;
  bool ran_out = false;  ///< the line ended before the speed fell below the limit
};

/// The rule of the older comfort-fan standard (IEC 60879:1986, from memory): stations every 40 mm
/// on both sides, the first 20 mm off the axis, outwards until the speed is below 24 m/min
/// (0.4 m/s); flow = sum of ring mean times ring area.
///
/// @param across_m   from the outlet's axis, rising
/// @param speed_m_s  as many; between them the speed runs straight
/// @throws InputError  fewer than two places, or not rising
[[nodiscard]] RingFlow ring_flow(std::span<const double> across_m,
                                 std::span<const double> speed_m_s);

/// The standard's service value, (m3/min) per watt, beside ours.
struct ServiceValue {
  double downstream_m = 0.0;  ///< of the plane used, the one nearest to `wanted_m`
  double wanted_m = 0.0;      ///< three outlet diameters
  double height_m = 0.0;      ///< of the sweep used, the one nearest to the outlet's axis
  RingFlow rings;
  /// Standard uncertainty of the flow that the rule gives: the readings' noise, and the probe's scale
  /// and offset and the fan's drift. That the rule itself differs from the flow stands in
  /// `differences`.
  double ring_uncertainty_m3_s = 0.0;
  Estimate map_flow_m3_s;
  double map_flow_above_limit_m3_s = 0.0;       ///< of the map's cells at 0.4 m/s and more
  std::optional<Measured> ring_value_m3_min_w;  ///< empty: no power was stated
  std::optional<Measured> map_value_m3_min_w;
  std::vector<std::string> differences;  ///< why the two differ, with sizes, one sentence each
};

/// Empty when the outlet is not round, or no plane has both a map and a sweep.
[[nodiscard]] std::optional<ServiceValue> service_value(const SurveyResult& result);

}  // namespace sweepflux
