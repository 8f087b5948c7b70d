#pragma once

#include "sweepflux/rank/fan_at_setting.hpp"

#include <string>
#include <vector>

namespace sweepflux {

/// One row a fan, setting and variant: every measurement of it, from sessions, surveys and repeats
/// on other days, combined by its covariance (base/combination) and tested for consistency.
///
/// What may be common is taken as common, since that is the careful choice for a mean: the lever's
/// error where balances are described alike, the probe's where one description of a probe holds.
/// Thrusts combine with thrusts; planes within 5 % of a distance with each other, flow carried in
/// proportion to the distance. A single measurement goes through as it is. A result that repeats
/// the numbers of a survey that is there too is no second measurement: it is passed over and named.
///
/// @return rows in the order of first appearance, with their measurements and consistency
[[nodiscard]] std::vector<FanAtSetting> combine_entries(std::vector<FanAtSetting> entries);

}  // namespace sweepflux
