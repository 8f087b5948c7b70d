#include "sweepflux/field/stream/common_residual_private.hpp"

#include "sweepflux/field/stream/stream_speed_private.hpp"

#include <numeric>

namespace sweepflux {

void CommonResidual::clear() {
  precision_.assign(residual_columns, residual_columns);
  for (std::size_t i = 0; i < residual_columns; ++i) {
    precision_.row(i)[i] = 1.0f;
  }
  mean_.assign(residual_columns, 0.0);
}

void CommonResidual::add(const std::vector<float>& information,
                         std::size_t stride,
                         const std::vector<double>& pull) {
  for (std::size_t i = 0; i < residual_columns; ++i) {
    float* __restrict to = precision_.row(i);
    const float* __restrict from = &information[i * stride];
    for (std::size_t j = i / lanes * lanes; j < precision_.stride(); ++j) {
      to[j] += from[j];
    }
    mean_[i] += pull[i];
  }
}

double CommonResidual::log_evidence() {
  const double log_root_determinant = precision_.factorise();
  precision_.solve_transposed(mean_);
  const double square = std::inner_product(mean_.begin(), mean_.end(), mean_.begin(), 0.0);
  precision_.solve(mean_);
  return 0.5 * square - log_root_determinant;
}

void CommonResidual::correct(std::vector<std::vector<double>>& in_common,
                             std::vector<double>& hessian,
                             std::vector<double>& gradient) const {
  const std::size_t d = in_common.size();
  const auto product = [](const std::vector<double>& a, const std::vector<double>& b) {
    return std::inner_product(a.begin(), a.end(), b.begin(), 0.0);
  };
  for (std::size_t j = 0; j < d; ++j) {
    gradient[j] -= product(in_common[j], mean_);
    precision_.solve_transposed(in_common[j]);
    for (std::size_t k = 0; k <= j; ++k) {
      const double v = product(in_common[j], in_common[k]);
      hessian[j * d + k] -= v;
      hessian[k * d + j] -= j == k ? 0.0 : v;
    }
  }
}

std::vector<double> CommonResidual::draw(const std::function<double()>& normal) const {
  std::vector<double> c(residual_columns);
  for (double& v : c) {
    v = normal();
  }
  precision_.solve(c);
  for (std::size_t j = 0; j < residual_columns; ++j) {
    c[j] += mean_[j];
  }
  return c;
}

}  // namespace sweepflux
