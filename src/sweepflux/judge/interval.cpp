#include "sweepflux/base/quantiles.hpp"
#include "sweepflux/judge/interval_private.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

/// Deviation of the logarithm.
double log_spread(const Estimate& e) {
  const double share = e.standard_uncertainty / e.value;
  return std::sqrt(std::log1p(share * share));
}

}  // namespace

Estimate estimate_of(double value, double standard_uncertainty, double degrees) {
  const double z_95 = student_95(std::max(degrees, 1.0));
  Estimate e;
  e.value = value;
  e.standard_uncertainty = standard_uncertainty;
  if (value > 0.0) {
    // A log-normal with this value as median: the same as value +- 1.96 u while u is small.
    const double spread = log_spread(e);
    e.low_95 = value * std::exp(-z_95 * spread);
    e.high_95 = value * std::exp(z_95 * spread);
  } else {
    e.low_95 = value - z_95 * standard_uncertainty;
    e.high_95 = value + z_95 * standard_uncertainty;
  }
  return e;
}

Estimate estimate_of_either(const Estimate& estimate,
                            const Estimate& other,
                            double share,
                            double degrees) {
  constexpr int halvings = 60;
  const double apart = other.value - estimate.value;
  Estimate e;
  e.value = estimate.value;
  e.standard_uncertainty =
      std::sqrt((1.0 - share) * estimate.standard_uncertainty * estimate.standard_uncertainty +
                share * (other.standard_uncertainty * other.standard_uncertainty + apart * apart));
  const auto below = [&](const Estimate& of, double x) {
    const double spread = log_spread(of), from = std::log(x / of.value);
    return spread > 0.0 ? student_t_probability(from / spread, std::max(degrees, 1.0))
                        : (from < 0.0 ? 0.0 : 1.0);
  };
  const auto end = [&](double probability, double one, double two) {
    // Between the ends that either has by itself.
    double low = std::log(std::min(one, two)), high = std::log(std::max(one, two));
    for (int k = 0; k < halvings; ++k) {
      const double middle = 0.5 * (low + high), x = std::exp(middle);
      const bool too_low =
          (1.0 - share) * below(estimate, x) + share * below(other, x) < probability;
      (too_low ? low : high) = middle;
    }
    return std::exp(0.5 * (low + high));
  };
  e.low_95 = end(0.025, estimate.low_95, other.low_95);
  e.high_95 = end(0.975, estimate.high_95, other.high_95);
  return e;
}

}  // namespace sweepflux
