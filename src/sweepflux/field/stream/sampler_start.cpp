#include "sweepflux/field/stream/active_normal_private.hpp"
#include "sweepflux/field/stream/sampler_start_private.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace sweepflux {

double Dice::normal() {
  if (spare_ready_) {
    spare_ready_ = false;
    return spare_;
  }
  const double r = std::sqrt(-2.0 * std::log(uniform())), turn = 2.0 * std::numbers::pi * uniform();
  spare_ = r * std::sin(turn);
  spare_ready_ = true;
  return r * std::cos(turn);
}

std::vector<double> draw_start(const SamplerTarget& target, Dice& dice) {
  std::vector<double> z(target.dimension);
  for (double& v : z) {
    v = dice.normal();
  }
  double u = dice.uniform();
  const StartingNormal* from = nullptr;
  for (const StartingNormal& s : target.start) {
    from = u >= 0.0 && u < s.weight ? &s : from;
    u -= s.weight;
  }
  if (from != nullptr) {
    from->normal->towards(z, 0.0, dice);
  }
  return z;
}

double log_start_ratio(const SamplerTarget& target, const std::vector<double>& z) {
  double left = 1.0, top = 0.0;
  std::vector<double> parts;
  for (const StartingNormal& s : target.start) {
    left -= s.weight;
    parts.push_back(std::log(s.weight) + s.normal->log_ratio(z));
    top = std::max(top, parts.back());
  }
  double sum = left * std::exp(-top);
  for (const double p : parts) {
    sum += std::exp(p - top);
  }
  return top + std::log(sum);
}

}  // namespace sweepflux
