#include "sweepflux/field/shape_sampler_private.hpp"

#include <Eigen/Cholesky>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace sweepflux {

double Dice::uniform() { return (static_cast<double>(engine_() >> 11) + 0.5) * 0x1.0p-53; }

double Dice::normal() {
  return std::sqrt(-2.0 * std::log(uniform())) * std::cos(2.0 * std::numbers::pi * uniform());
}

std::vector<Vector> walk_posterior(const std::function<double(const Vector&)>& log_density,
                                   const Vector& mode,
                                   const Matrix& spread,
                                   const Vector& prior_sd,
                                   const Vector& lower,
                                   const Vector& upper,
                                   const ChainOptions& options) {
  constexpr double wanted_acceptance = 0.25;
  constexpr double share_of_single_moves = 0.25;
  const Eigen::Index n = mode.size();
  const Matrix factor = Eigen::LLT<Matrix>(spread).matrixL();
  Dice dice(options.seed);
  Vector at = mode;
  double density = log_density(at);
  double scale = 2.38 / std::sqrt(static_cast<double>(n));
  double single = 0.5;
  std::vector<Vector> out;
  const int every = std::max(1, (options.steps - options.burn_in) / options.kept);
  Vector z(n);
  for (int step = 0; step < options.steps; ++step) {
    Vector next = at;
    const bool one = dice.uniform() < share_of_single_moves;
    if (one) {
      const auto k = std::min<Eigen::Index>(
          n - 1, static_cast<Eigen::Index>(dice.uniform() * static_cast<double>(n)));
      next[k] += single * prior_sd[k] * dice.normal();
    } else {
      for (Eigen::Index i = 0; i < n; ++i) {
        z[i] = dice.normal();
      }
      next += scale * (factor * z);
    }
    const bool inside =
        (next.array() >= lower.array()).all() && (next.array() <= upper.array()).all();
    bool accepted = false;
    if (inside) {
      const double candidate = log_density(next);
      if (std::log(dice.uniform()) < candidate - density) {
        at = next;
        density = candidate;
        accepted = true;
      }
    }
    if (step < options.burn_in) {  // only before anything is kept: the chain must not look back
      double& tuned = one ? single : scale;
      const double rate = 3.0 / std::sqrt(1.0 + step);
      tuned *= std::exp(rate * ((accepted ? 1.0 : 0.0) - wanted_acceptance) * 0.3);
      tuned = std::clamp(tuned, 1e-3, 3.0);
    } else if ((step - options.burn_in) % every == every - 1 &&
               out.size() < static_cast<std::size_t>(options.kept)) {
      out.push_back(at);
    }
  }
  return out;
}

}  // namespace sweepflux
