#pragma once

#include "sweepflux/rank/fan_at_setting.hpp"

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace sweepflux {

/// A flow, were the scale that the campaign shows taken out of it.
struct FlowChange {
  std::size_t entry = 0;
  double downstream_m = 0.0;
  Estimate flow_m3_s;       ///< as measured
  Estimate corrected_m3_s;  ///< over the scale; the probe's stated share gives way to the scale's
};

/// The check of the probe by all surveys of a campaign that a balance stands beside.
struct CampaignCheck {
  ProbeCheck probe;
  Measured stated;            ///< 1 with the scale uncertainty that the surveys state
  std::string calibration;    ///< to paste under [probe]; nothing here is applied
  std::vector<FlowChange> flows;
  std::vector<std::string> left_out;  ///< surveys of another probe, one sentence each
};

/// The pair of a survey's momentum flux and its row's thrust; none where either is missing.
[[nodiscard]] std::optional<MomentumThrustPair> pair_of(const FanAtSetting& survey,
                                                        const FanAtSetting& row);

/// All pairs of one probe, the one that read most surveys; none where there is no pair.
[[nodiscard]] std::optional<CampaignCheck> check_campaign(std::span<const FanAtSetting> rows);

/// Whether one probe may have read both: kind, head, scale, offset, resolution and calibration are
/// described alike.
[[nodiscard]] bool alike(const Probe& a, const Probe& b);

/// The part of an uncertainty that a common relative error is not, never below a tenth of the
/// whole: no value is known so much better than it says.
[[nodiscard]] double own_uncertainty(const Estimate& value, double shared);

}  // namespace sweepflux
