#include "sweepflux/base/quantiles.hpp"

#include "sweepflux/base/error.hpp"

#include <cmath>
#include <numbers>

namespace sweepflux {
namespace {

/// Continued fraction of the incomplete beta function, by the method of Lentz.
double beta_fraction(double a, double b, double x) {
  constexpr double tiny = 1e-300;
  double c = 1.0;
  double d = 1.0 - (a + b) * x / (a + 1.0);
  d = 1.0 / (std::abs(d) < tiny ? tiny : d);
  double value = d;
  for (int m = 1; m < 500; ++m) {
    const double n = m;
    const double even = n * (b - n) * x / ((a + 2.0 * n - 1.0) * (a + 2.0 * n));
    const double odd = -(a + n) * (a + b + n) * x / ((a + 2.0 * n) * (a + 2.0 * n + 1.0));
    double factor = 1.0;
    for (const double term : {even, odd}) {
      d = 1.0 + term * d;
      d = 1.0 / (std::abs(d) < tiny ? tiny : d);
      c = 1.0 + term / c;
      c = std::abs(c) < tiny ? tiny : c;
      factor = c * d;
      value *= factor;
    }
    if (std::abs(factor - 1.0) < 1e-15) {
      break;
    }
  }
  return value;
}

double log_gamma(double x) {
  // std::lgamma writes a global, so two threads would race; Stirling's series after shifting x up
  // is as good [DLMF 5.11.1].
  double shift = 0.0;
  while (x < 12.0) {
    shift += std::log(x);
    x += 1.0;
  }
  const double r = 1.0 / (x * x);
  const double series =
      (1.0 / 12.0 - r * (1.0 / 360.0 - r * (1.0 / 1260.0 - r * (1.0 / 1680.0 - r / 1188.0)))) / x;
  return (x - 0.5) * std::log(x) - x + 0.5 * std::log(2.0 * std::numbers::pi) + series - shift;
}

double regular_beta(double a, double b, double x) {
  if (x <= 0.0) {
    return 0.0;
  }
  if (x >= 1.0) {
    return 1.0;
  }
  const double front = std::exp(log_gamma(a + b) - log_gamma(a) - log_gamma(b) + a * std::log(x) +
                                b * std::log1p(-x));
  if (x < (a + 1.0) / (a + b + 2.0)) {
    return front * beta_fraction(a, b, x) / a;
  }
  return 1.0 - front * beta_fraction(b, a, 1.0 - x) / b;
}

double student_t_density(double t, double degrees) {
  return std::exp(log_gamma(0.5 * (degrees + 1.0)) - log_gamma(0.5 * degrees) -
                  0.5 * std::log(degrees * std::numbers::pi) -
                  0.5 * (degrees + 1.0) * std::log1p(t * t / degrees));
}

void check_share(double p) {
  if (!(p > 0.0 && p < 1.0)) {
    throw InputError("quantile: the share must lie between 0 and 1");
  }
}

}  // namespace

double normal_probability(double z) { return 0.5 * std::erfc(-z / std::numbers::sqrt2); }

double normal_quantile(double p) {
  check_share(p);
  if (p > 0.5) {
    return -normal_quantile(1.0 - p);
  }
  // Lower tail: Newton's method on the logarithm of the probability, which is concave, so that it
  // converges from any start to the left.
  double z = -std::sqrt(-2.0 * std::log(p));
  for (int i = 0; i < 60; ++i) {
    const double below = normal_probability(z);
    const double density = std::exp(-0.5 * z * z) / std::sqrt(2.0 * std::numbers::pi);
    const double step = (std::log(below) - std::log(p)) * below / density;
    z -= step;
    if (std::abs(step) <= 1e-15 * (1.0 + std::abs(z))) {
      break;
    }
  }
  return z;
}

double student_t_probability(double t, double degrees) {
  if (!(degrees > 0.0)) {
    throw InputError("student_t_probability: the degrees of freedom must be > 0");
  }
  const double tail = 0.5 * regular_beta(0.5 * degrees, 0.5, degrees / (degrees + t * t));
  return t > 0.0 ? 1.0 - tail : tail;
}

double student_t_quantile(double p, double degrees) {
  check_share(p);
  if (!(degrees > 0.0)) {
    throw InputError("student_t_quantile: the degrees of freedom must be > 0");
  }
  if (p < 0.5) {
    return -student_t_quantile(1.0 - p, degrees);
  }
  double low = 0.0;
  double high = 1.0;
  while (student_t_probability(high, degrees) < p && high < 1e300) {
    low = high;
    high *= 2.0;
  }
  double t = 0.5 * (low + high);
  for (int i = 0; i < 200; ++i) {
    const double excess = student_t_probability(t, degrees) - p;
    (excess > 0.0 ? high : low) = t;
    const double newton = t - excess / student_t_density(t, degrees);
    const double next = newton > low && newton < high ? newton : 0.5 * (low + high);
    if (std::abs(next - t) <= 1e-14 * (1.0 + std::abs(t))) {
      return next;
    }
    t = next;
  }
  return t;
}

double student_95(double degrees) {
  if (!(degrees >= 1.0)) {
    throw InputError("degrees of freedom must be 1 or more");
  }
  return degrees > 1e6 ? normal_quantile(0.975) : student_t_quantile(0.975, degrees);
}

}  // namespace sweepflux
