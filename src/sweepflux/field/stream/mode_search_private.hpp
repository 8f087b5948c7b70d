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
  std::function<void(std::span<const double> z, const std::vector<std::size_t>& entries,
                     const std::vector<double>& steps, std::vector<double>& hessian,
                     std::vector<double>& gradient)>
      normal_equations;
  std::vector<std::size_t> spreads;  ///< entries that normal_equations says nothing of
};

/// A mode of the posterior of one kind, with the normal that touches it [Laplace], a little wider.
struct Mode {
  int kind = 0;
  double log_evidence = 0.0;  ///< by that normal, but for a constant
  std::shared_ptr<const ActiveNormal> normal;
};

/// Climbs from draws of the prior to modes of each kind, by Levenberg's and Marquardt's steps; a kind
/// that sees more also starts from the modes of the one before it.
[[nodiscard]] std::vector<Mode> find_modes(const SamplerTarget& target, const ModeSearch& search,
                                           Dice& dice);

/// Where a sampler may start from: modes weighted by the root of their evidence, and the prior.
[[nodiscard]] std::vector<StartingNormal> start_from(const std::vector<Mode>& modes);

}  // namespace sweepflux
