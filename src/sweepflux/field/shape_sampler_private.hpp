#pragma once

#include "sweepflux/field/mean_shapes_private.hpp"

#include <cstdint>
#include <functional>
#include <random>
#include <vector>

namespace sweepflux {

/// Uniform and normal deviates that are the same with every standard library.
class Dice {
 public:
  explicit Dice(std::uint64_t seed) : engine_(seed) {}
  double uniform();  ///< inside (0, 1)
  double normal();

 private:
  std::mt19937_64 engine_;
};

/// How long and from where a chain walks.
struct ChainOptions {
  int steps = 2400;
  int burn_in = 600;
  int kept = 48;
  std::uint64_t seed = 1;
};

/// Draws from a posterior of few parameters by random-walk Metropolis [Metropolis 1953; scale of
/// Gelman 1996]: most moves follow the curvature at the mode, some change one parameter by a good
/// part of its prior, so that what the readings leave open is really walked through.
///
/// @param log_density  of parameters inside the box; up to a constant
/// @param mode         start, inside the box
/// @param spread       covariance of the moves' shape (inverse curvature at the mode)
/// @param prior_sd     size of a single parameter's move
/// @return             `kept` parameter vectors, evenly thinned; the same seed gives the same
[[nodiscard]] std::vector<Vector> walk_posterior(
    const std::function<double(const Vector&)>& log_density,
    const Vector& mode,
    const Matrix& spread,
    const Vector& prior_sd,
    const Vector& lower,
    const Vector& upper,
    const ChainOptions& options);

}  // namespace sweepflux
