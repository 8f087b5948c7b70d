#include "sweepflux/base/student.hpp"

#include "sweepflux/base/error.hpp"

#include <cmath>
#include <numbers>

namespace sweepflux {
namespace {

constexpr double normal_95 = 1.959963984540054;

/// Gamma((v + 1) / 2) / (sqrt(pi) Gamma(v / 2)).
double norm_of(double freedom) {
  return std::exp(std::lgamma(0.5 * (freedom + 1.0)) - std::lgamma(0.5 * freedom)) /
         std::sqrt(std::numbers::pi);
}

/// P(|t| < x): over the angle atan(x / sqrt(freedom)) the density is cos^(freedom - 1), smooth up
/// to the edge, so Simpson's rule does.
double share_inside(double x, double freedom) {
  constexpr int pieces = 2000;
  const double step = std::atan(x / std::sqrt(freedom)) / pieces;
  double sum = 0.0;
  for (int i = 0; i <= pieces; ++i) {
    const double weight = i == 0 || i == pieces ? 1.0 : (i % 2 == 1 ? 4.0 : 2.0);
    sum += weight * std::pow(std::cos(step * i), freedom - 1.0);
  }
  return 2.0 * norm_of(freedom) * sum * step / 3.0;
}

double density(double x, double freedom) {
  return norm_of(freedom) / std::sqrt(freedom) *
         std::pow(1.0 + x * x / freedom, -0.5 * (freedom + 1.0));
}

}  // namespace

double student_95(double freedom) {
  if (!(freedom >= 1.0)) {
    throw InputError("degrees of freedom must be 1 or more");
  }
  if (freedom > 1e6) {
    return normal_95;
  }
  // The share is concave and the start lies below the root, so Newton climbs to it from one side.
  double x = normal_95;
  for (int i = 0; i < 60; ++i) {
    const double step = (0.95 - share_inside(x, freedom)) / (2.0 * density(x, freedom));
    x += step;
    if (std::abs(step) < 1e-11 * x) {
      break;
    }
  }
  return x;
}

double normal_share_below(double z) { return 0.5 * std::erfc(-z / std::numbers::sqrt2); }

}  // namespace sweepflux
