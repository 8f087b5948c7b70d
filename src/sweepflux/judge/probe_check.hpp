#pragma once

#include "sweepflux/base/measured.hpp"
#include "sweepflux/judge/neglected.hpp"

#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

namespace sweepflux {

/// Momentum flux of one survey against the thrust of the same fan at the same setting.
struct MomentumThrustPair {
  std::string survey;   ///< where the momentum flux comes from
  std::string name;     ///< "heron at 3"
  Measured momentum_flux_n;  ///< uncertainty without the probe's scale and offset
  Measured thrust_n;    ///< uncertainty without the lever
  std::string thrust_of;     ///< pairs with the same text share one thrust and its error
  std::string balance;       ///< pairs with the same text share the lever's error
  double lever_share = 0.0;  ///< relative standard uncertainty of the lever
  double slowness_s_m = 0.0;  ///< density times flow over momentum flux: what an offset acts by
  ShareRange neglected;  ///< share of the thrust that turbulence and pressure take off the momentum
};

/// One pair held against all others.
struct PairCheck {
  double ratio = 1.0;  ///< momentum over thrust
  double z_score = 0.0;  ///< its distance from the scale of all others, in standard uncertainties
  bool stands_out = false;
};

/// What all pairs of a campaign say of the probe that read them.
struct ProbeCheck {
  std::vector<MomentumThrustPair> pairs;
  std::vector<PairCheck> checks;  ///< as many
  Estimate scale;       ///< indicated over true speed, from the ratios' square roots
  double chi_square = 0.0;
  double degrees = 0.0;
  double chance = 1.0;
  double birge_ratio = 0.0;
  bool explains_all = true;  ///< one factor is enough, chance >= 5 %
  /// Scale and offset fitted together; needs three pairs whose slowness differs.
  std::optional<Estimate> scale_beside_offset;
  std::optional<Estimate> offset_m_s;  ///< indicated less scale times true
  double chance_with_offset = 1.0;
  /// The scale, were turbulence and pressure to take off the most or the least that is published.
  double scale_if_neglected_low = 1.0;
  double scale_if_neglected_high = 1.0;
  std::optional<std::size_t> stands_out;  ///< the pair without which the others agree best
  std::vector<std::string> words;         ///< what it means, one sentence each
};

/// Scale of the probe from all pairs by generalised least squares in the logarithm: half of
/// ln(momentum / thrust) is ln(scale) for each, since the momentum flux goes with the square of the
/// speed. Common thrusts and levers count by their covariance. Where one factor does not explain
/// all (chi square), the part of the uncertainty that is not common is multiplied by the Birge
/// ratio. Turbulence and pressure are neglected, as in the check of one survey; what they
/// would change stands beside it.
///
/// @param pairs  one or more, of one probe; values above zero
/// @throws InputError  no pair, or a value that is not above zero
///
/// Coverage: the 95 % interval held a scale of 1.03 in 93.5 to 95.5 % of 200 simulated campaigns of
/// 3, 6 and 14 surveys, and in 95.3 to 95.5 % of 20 000 (tests/bench/probe_scale.cpp).
[[nodiscard]] ProbeCheck check_probe(std::span<const MomentumThrustPair> pairs);

/// Lines to paste under [probe]: pairs (true, indicated) that take the scale out, the earlier
/// calibration laid under them, and the uncertainty of the scale that is left: of the fit, and of the
/// neglected turbulence and pressure.
///
/// @param earlier  calibration that the readings were corrected with already; may be empty
/// @param top_m_s  highest speed met, > 0
[[nodiscard]] std::string calibration_block(const ProbeCheck& check,
                                            std::span<const std::pair<double, double>> earlier,
                                            double top_m_s);

}  // namespace sweepflux
