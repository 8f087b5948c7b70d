#pragma once

#include "sweepflux/rank/fan_at_setting.hpp"
#include "sweepflux/rank/ranking.hpp"

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace sweepflux {

/// What a change to a fan did to one quantity at one setting: "filter out" less the fan as it was.
struct VariantDifference {
  std::size_t before = 0;  ///< entry without the variant, else the first
  std::size_t after = 0;
  std::string quantity;
  std::string unit;
  std::optional<double> downstream_m;
  Estimate difference;  ///< after less before
  Estimate relative;    ///< the difference over the value before
  bool sure = false;    ///< its 95 % interval excludes zero
  std::string words;
};

/// Differences of thrust, electrical power and, at distances where both were mapped, flow and
/// momentum flux. An error of the lever or the probe that both share scales both values, so only
/// its share of the difference counts: shared where `shared` says so, and where both rows describe
/// their balance or their probe alike.
[[nodiscard]] std::vector<VariantDifference> compare_variants(std::span<const FanAtSetting> entries,
                                                              const SharedErrors& shared);

}  // namespace sweepflux
