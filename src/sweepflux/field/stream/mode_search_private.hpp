#pragma once

#include "sweepflux/field/stream/population_sampler.hpp"

#include <cstddef>
#include <functional>
#include <span>
#include <vector>

namespace sweepflux {

/// What the search needs beside the sampler's target.
struct ModeSearch {
  /// Adds to J' C^-1 J and J' C^-1 e of the log likelihood at z, by the entries given; the slopes J
  /// over a step of each.
  std::function<void(std::span<const double> z,
                     const std::vector<std::size_t>& entries,
                     const std::vector<double>& steps,
                     std::vector<double>& hessian,
                     std::vector<double>& gradient)>
      normal_equations;
  std::vector<std::size_t> spreads;  ///< entries that normal_equations says nothing of
  std::function<std::vector<std::vector<double>>(Dice& dice)> starts;  ///< to climb from
  /// Of the likelihood in Mode::tempered: a start narrower than the posterior is left too late.
  double start_power = 0.5;
};

/// A mode of the posterior.
struct Mode {
  std::vector<double> z;
  double log_evidence = 0.0;  ///< by the normal that touches it [Laplace], but for a constant
  /// That normal with the likelihood raised to a power below 1: wider where the readings say much.
  std::shared_ptr<const ActiveNormal> tempered;
};

/// Climbs to modes by Levenberg's and Marquardt's steps, first with loose spreads.
[[nodiscard]] std::vector<Mode> find_modes(const SamplerTarget& target,
                                           const ModeSearch& search,
                                           Dice& dice);

/// Where a sampler may start from: modes weighted by the root of their evidence; the start of a
/// simpler model, if there is one, with what that does not see as the prior has it, since the
/// readings may not show it; and the prior.
[[nodiscard]] std::vector<StartingNormal> start_from(const std::vector<Mode>& modes,
                                                     const std::vector<StartingNormal>& simpler);

}  // namespace sweepflux
