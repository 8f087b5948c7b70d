#include "sweepflux/field/stream/below_start_private.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace sweepflux {
namespace {

/// A rotor does not start at the same speed each time; how far it strays is an assumption.
constexpr double start_spread = 0.1;

constexpr double finest_m_s = 1e-6;  // a limit of nought read without noise is no sharper than this

const double root_two = std::numbers::sqrt2;
const double log_root_two_pi = 0.5 * std::log(2.0 * std::numbers::pi);

/// -ln Phi(x); far below, by the first terms of Mills' ratio [Abramowitz 1964, 26.2.12].
double minus_log_share(double x) {
  if (x < -25.0) {
    return 0.5 * x * x + std::log(-x) + log_root_two_pi + 1.0 / (x * x);
  }
  return x > 5.0 ? 0.5 * std::erfc(x / root_two) : -std::log(0.5 * std::erfc(-x / root_two));
}

}  // namespace

double BelowStart::residual(double mean_m_s) const {
  return std::sqrt(2.0 * minus_log_share((limit_m_s - mean_m_s) / sd_m_s));
}

BelowStart::Reading BelowStart::stand_in(double mean_m_s) const {
  const double x = (limit_m_s - mean_m_s) / sd_m_s;
  // phi / Phi
  const double ratio = std::exp(minus_log_share(x) - 0.5 * x * x - log_root_two_pi);
  const double curvature = std::max(ratio * (ratio + x), 1e-12);
  return {mean_m_s - sd_m_s * ratio / curvature, sd_m_s / std::sqrt(curvature)};
}

BelowStart below_start(double starting_speed_m_s, double noise_m_s) {
  const double sd = std::hypot(noise_m_s, start_spread * starting_speed_m_s);
  return {starting_speed_m_s, std::max(sd, finest_m_s)};
}

}  // namespace sweepflux
