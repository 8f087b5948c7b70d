#pragma once

#include "sweepflux/judge/probe_check.hpp"
#include "tests/support/dice.hpp"

#include <string>
#include <vector>

namespace sweepflux::test {

/// Pairs of momentum flux and thrust as a campaign gives them: `fans` settings of true thrusts from
/// 0.2 to 3 N on one balance whose lever is known to 0.5 %, each thrust to 0.4 % and each momentum
/// flux to 1.5 to 4 % on its own; one probe that shows `scale` times the true speed. Errors are drawn
/// from just these uncertainties.
inline std::vector<MomentumThrustPair> simulated_campaign(Dice& dice,
                                                          std::size_t fans,
                                                          double scale) {
  constexpr double lever_share = 0.005;
  constexpr double thrust_share = 0.004;
  const double lever = 1.0 + dice.normal(lever_share);
  std::vector<MomentumThrustPair> pairs;
  for (std::size_t i = 0; i < fans; ++i) {
    const double thrust = dice.uniform(0.2, 3.0);
    const double own = dice.uniform(0.015, 0.04);
    MomentumThrustPair pair;
    pair.name = "fan " + std::to_string(i + 1);
    pair.survey = pair.thrust_of = pair.name;
    const double momentum = thrust * scale * scale * (1.0 + dice.normal(own));
    pair.momentum_flux_n = {momentum, own * momentum};
    const double shown = thrust * lever * (1.0 + dice.normal(thrust_share));
    pair.thrust_n = {shown, thrust_share * shown};
    pair.balance = "balance";
    pair.lever_share = lever_share;
    pair.slowness_s_m = dice.uniform(0.3, 1.5);
    pairs.push_back(std::move(pair));
  }
  return pairs;
}

/// Of so many campaigns, in how many the 95 % interval holds the true scale.
inline std::size_t campaigns_that_hold(std::uint64_t seed,
                                       std::size_t campaigns,
                                       std::size_t fans,
                                       double scale) {
  Dice dice(seed);
  std::size_t held = 0;
  for (std::size_t i = 0; i < campaigns; ++i) {
    const ProbeCheck check = check_probe(simulated_campaign(dice, fans, scale));
    held += check.scale.low_95 <= scale && scale <= check.scale.high_95 ? 1 : 0;
  }
  return held;
}

}  // namespace sweepflux::test
