#include "sweepflux/field/general/kernel_private.hpp"
#include "sweepflux/field/general/local_solver_private.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {

bool LocalSolver::set(std::span<const double> y,
                      std::span<const double> z,
                      std::span<const double> value,
                      std::span<const double> noise_variance) {
  y_.assign(y.begin(), y.end());
  z_.assign(z.begin(), z.end());
  value_.assign(value.begin(), value.end());
  one_.assign(y.size(), 1.0);
  inverse_.resize(y.size());
  upper_.resize(y.size() * y.size());
  packed_.resize(static_cast<Eigen::Index>(y.size() * (y.size() - 1) / 2));

  const std::size_t n = y.size();
  double* squared = packed_.data();
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = i + 1; j < n; ++j) {
      const double dy = y_[i] - y_[j];
      const double dz = z_[i] - z_[j];
      *squared++ = dy * dy + dz * dz;
    }
  }
  correlate(model_.kernel, packed_);
  const double* entry = packed_.data();
  for (std::size_t i = 0; i < n; ++i) {
    upper_[i * n + i] = model_.sill + noise_variance[i];
    for (std::size_t j = i + 1; j < n; ++j) {
      upper_[i * n + j] = model_.sill * *entry++;
    }
  }
  // Right-looking, by rows: the inner loop runs along a row and is the compiler's to vectorise.
  for (std::size_t k = 0; k < n; ++k) {
    double* row = &upper_[k * n];
    if (!(row[k] > 0.0)) {
      return false;
    }
    const double inverse = 1.0 / std::sqrt(row[k]);
    inverse_[k] = inverse;
    for (std::size_t j = k; j < n; ++j) {
      row[j] *= inverse;
    }
    for (std::size_t i = k + 1; i < n; ++i) {
      double* below = &upper_[i * n];
      const double factor = row[i];
      for (std::size_t j = i; j < n; ++j) {
        below[j] -= factor * row[j];
      }
    }
    value_[k] *= inverse;
    one_[k] *= inverse;
    for (std::size_t i = k + 1; i < n; ++i) {
      value_[i] -= row[i] * value_[k];
      one_[i] -= row[i] * one_[k];
    }
  }
  return true;
}

LocalSolver::Mean LocalSolver::mean() const {
  double square = 0.0;
  double cross = 0.0;
  for (std::size_t i = 0; i < one_.size(); ++i) {
    square += one_[i] * one_[i];
    cross += one_[i] * value_[i];
  }
  return {cross / square, 1.0 / square};
}

void LocalSolver::ask(std::span<const double> y,
                      std::span<const double> z,
                      std::span<Answer> into) {
  const std::size_t n = y_.size();
  const std::size_t m = into.size();
  toward_.resize(n * m);
  packed_.resize(static_cast<Eigen::Index>(n * m));
  for (std::size_t i = 0; i < n; ++i) {
    double* squared = packed_.data() + i * m;
    for (std::size_t j = 0; j < m; ++j) {
      const double dy = y_[i] - y[j];
      const double dz = z_[i] - z[j];
      squared[j] = dy * dy + dz * dz;
    }
  }
  correlate(model_.kernel, packed_);
  for (std::size_t i = 0; i < n * m; ++i) {
    toward_[i] = model_.sill * packed_[static_cast<Eigen::Index>(i)];
  }
  std::fill(into.begin(), into.end(), Answer{});
  for (std::size_t k = 0; k < n; ++k) {
    double* row = &toward_[k * m];
    const double inverse = inverse_[k];
    for (std::size_t j = 0; j < m; ++j) {
      row[j] *= inverse;
    }
    for (std::size_t i = k + 1; i < n; ++i) {
      double* below = &toward_[i * m];
      const double factor = upper_[k * n + i];
      for (std::size_t j = 0; j < m; ++j) {
        below[j] -= factor * row[j];
      }
    }
    for (std::size_t j = 0; j < m; ++j) {
      into[j].value += row[j] * value_[k];
      into[j].explained += row[j] * row[j];
      into[j].constant += row[j] * one_[k];
    }
  }
}

}  // namespace sweepflux
