#include "sweepflux/field/stream/tempering_private.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace sweepflux {
namespace {

constexpr int halvings = 50;

/// Of particles under a rise of the power.
struct Weights {
  std::vector<double> of;  ///< the highest is 1
  double log_highest = 0.0, sum = 0.0, effective = 0.0;

  Weights(std::span<const double> log_ratio, double rise)
      : log_highest(rise * *std::max_element(log_ratio.begin(), log_ratio.end())) {
    double squares = 0.0;
    for (const double r : log_ratio) {
      of.push_back(std::exp(rise * r - log_highest));
      sum += of.back();
      squares += of.back() * of.back();
    }
    effective = sum * sum / squares;
  }
};

}  // namespace

TemperingStep temper(std::span<const double> log_ratio, double left, double keep, Dice& dice) {
  const std::size_t n = log_ratio.size();
  const double count = static_cast<double>(n), wanted = keep * count;
  double rise = left;
  if (Weights(log_ratio, left).effective < wanted) {
    double high = left;
    rise = 0.0;
    for (int k = 0; k < halvings; ++k) {
      const double middle = 0.5 * (rise + high);
      (Weights(log_ratio, middle).effective > wanted ? rise : high) = middle;
    }
  }
  const Weights weights(log_ratio, rise);
  TemperingStep out{rise, weights.log_highest + std::log(weights.sum / count), {}};
  const double u = dice.uniform();
  double reached = 0.0;
  for (std::size_t i = 0; i < n; ++i) {
    reached += weights.of[i] / weights.sum * count;
    while (out.parents.size() < n && u + static_cast<double>(out.parents.size()) < reached) {
      out.parents.push_back(i);
    }
  }
  out.parents.resize(n, n - 1);
  for (std::size_t i = n - 1; i > 0; --i) {
    std::swap(out.parents[i], out.parents[dice.below(i + 1)]);
  }
  return out;
}

}  // namespace sweepflux
