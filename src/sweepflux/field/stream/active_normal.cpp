#include "sweepflux/field/stream/active_normal_private.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace sweepflux {
namespace {

using Vector = std::vector<double>;

constexpr double least_variance = 1e-8;

}  // namespace

void factorise_lower(Vector& a, std::size_t d, double least_pivot_2) {
  for (std::size_t j = 0; j < d; ++j) {
    for (std::size_t k = 0; k <= j; ++k) {
      double v = a[j * d + k];
      for (std::size_t l = 0; l < k; ++l) {
        v -= a[j * d + l] * a[k * d + l];
      }
      a[j * d + k] = j == k ? std::sqrt(std::max(v, least_pivot_2)) : v / a[k * d + k];
    }
  }
}

void solve_factored(const Vector& lower, std::size_t d, Vector& b) {
  for (std::size_t j = 0; j < d; ++j) {
    for (std::size_t k = 0; k < j; ++k) {
      b[j] -= lower[j * d + k] * b[k];
    }
    b[j] /= lower[j * d + j];
  }
  for (std::size_t j = d; j-- > 0;) {
    for (std::size_t k = j + 1; k < d; ++k) {
      b[j] -= lower[k * d + j] * b[k];
    }
    b[j] /= lower[j * d + j];
  }
}

ActiveNormal::ActiveNormal(const std::vector<std::size_t>& active, Vector mean, Vector covariance)
    : active_(active), mean_(std::move(mean)), factor_(std::move(covariance)) {
  const std::size_t d = mean_.size();
  factorise_lower(factor_, d, least_variance);
  for (std::size_t j = 0; j < d; ++j) {
    log_pivots_ += std::log(factor_[j * d + j]);
  }
}

ActiveNormal ActiveNormal::fitting(const std::vector<const Vector*>& members,
                                   const std::vector<std::size_t>& active) {
  const std::size_t d = active.size();
  const auto n = static_cast<double>(members.size()), size = static_cast<double>(d);
  const double pull = 0.5 * size / (n + size), wider = 1.0 + size / n;
  Vector mean(d, 0.0), covariance(d * d, 0.0), off(d);
  for (const Vector* v : members) {
    for (std::size_t j = 0; j < d; ++j) {
      mean[j] += (*v)[active[j]] / n;
    }
  }
  for (const Vector* v : members) {
    for (std::size_t j = 0; j < d; ++j) {
      off[j] = (*v)[active[j]] - mean[j];
    }
    for (std::size_t j = 0; j < d; ++j) {
      const double a = off[j] * (1.0 - pull) * wider / n;
      for (std::size_t k = 0; k <= j; ++k) {
        covariance[j * d + k] += a * off[k];
      }
    }
  }
  for (std::size_t j = 0; j < d; ++j) {
    covariance[j * d + j] *= 1.0 / (1.0 - pull);
    covariance[j * d + j] += 1e-5;
  }
  return {active, std::move(mean), std::move(covariance)};
}

double ActiveNormal::half_square(const Vector& z) const {
  const std::size_t d = mean_.size();
  double sum = 0.0;
  Vector t(d);
  for (std::size_t j = 0; j < d; ++j) {
    double v = z[active_[j]] - mean_[j];
    for (std::size_t k = 0; k < j; ++k) {
      v -= factor_[j * d + k] * t[k];
    }
    t[j] = v / factor_[j * d + j];
    sum += t[j] * t[j];
  }
  return 0.5 * sum;
}

double ActiveNormal::log_ratio(const Vector& z) const {
  return half_norm(z, active_) - half_square(z) - log_pivots_;
}

void ActiveNormal::towards(Vector& z, double keep, Dice& dice) const {
  const std::size_t d = mean_.size();
  Vector e(d);
  for (double& v : e) {
    v = dice.normal();
  }
  const double fresh = std::sqrt(1.0 - keep * keep);
  for (std::size_t j = 0; j < d; ++j) {
    double v = 0.0;
    for (std::size_t k = 0; k <= j; ++k) {
      v += factor_[j * d + k] * e[k];
    }
    double& at = z[active_[j]];
    at = mean_[j] + keep * (at - mean_[j]) + fresh * v;
  }
}

double half_norm(const Vector& z, const std::vector<std::size_t>& active) {
  double sum = 0.0;
  for (const std::size_t j : active) {
    sum += z[j] * z[j];
  }
  return 0.5 * sum;
}

}  // namespace sweepflux
