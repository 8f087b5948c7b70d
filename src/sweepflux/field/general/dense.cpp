#include "sweepflux/base/error.hpp"
#include "sweepflux/field/general/dense_private.hpp"

#include <Eigen/Cholesky>

#include <cmath>
#include <string>
#include <utility>
#include <vector>

namespace sweepflux {
namespace {

constexpr Eigen::Index block = 192;  // measured: 128 to 256 are within 3 % of each other
constexpr Eigen::Index tile = 384;
constexpr std::size_t sides_at_once = 64;  // right-hand sides in one go

/// The panel under a factored diagonal block: rows in tiles.
void solve_panel(Eigen::MatrixXd& a, Eigen::Index k, Eigen::Index size, int threads) {
  const Eigen::Index top = k + size;
  in_parts(static_cast<std::size_t>(a.rows() - top),
           tile,
           threads,
           [&](std::size_t from, std::size_t to) {
             const Eigen::Index count = static_cast<Eigen::Index>(to - from);
             auto part = a.block(top + static_cast<Eigen::Index>(from), k, count, size);
             a.block(k, k, size, size)
                 .triangularView<Eigen::Lower>()
                 .transpose()
                 .solveInPlace<Eigen::OnTheRight>(part);
           });
}

/// Takes the panel's outer product off what is left, lower tiles only.
void update_rest(Eigen::MatrixXd& a, Eigen::Index k, Eigen::Index size, int threads) {
  const Eigen::Index first = k + size;
  const Eigen::Index tiles = (a.rows() - first + tile - 1) / tile;
  std::vector<std::pair<Eigen::Index, Eigen::Index>> jobs;
  for (Eigen::Index i = 0; i < tiles; ++i) {
    for (Eigen::Index j = 0; j <= i; ++j) {
      jobs.emplace_back(first + i * tile, first + j * tile);
    }
  }
  parallel_for(jobs.size(), threads, [&](std::size_t job) {
    const auto [row, column] = jobs[job];
    const Eigen::Index rows = std::min(tile, a.rows() - row);
    const Eigen::Index columns = std::min(tile, a.rows() - column);
    const auto left = a.block(row, k, rows, size);
    if (row == column) {
      a.block(row, column, rows, columns).selfadjointView<Eigen::Lower>().rankUpdate(left, -1.0);
    } else {
      a.block(row, column, rows, columns).noalias() -=
          left * a.block(column, k, columns, size).transpose();
    }
  });
}

/// Solves for the right-hand sides in parts, by the factor or by its transpose.
template <typename Factor>
void solve_by_columns(const Factor& factor, Eigen::MatrixXd& right, int threads) {
  const auto columns = static_cast<std::size_t>(right.cols());
  in_parts(columns, sides_at_once, threads, [&](std::size_t from, std::size_t to) {
    auto part =
        right.middleCols(static_cast<Eigen::Index>(from), static_cast<Eigen::Index>(to - from));
    factor.solveInPlace(part);
  });
}

}  // namespace

void require_dense_fits(std::size_t count, const char* method) {
  const double bytes = 8.0 * static_cast<double>(count) * static_cast<double>(count);
  if (bytes > dense_limit_bytes) {
    throw NumericalError(
        std::string(method) + ": " + std::to_string(count) + " places need a matrix of " +
        std::to_string(static_cast<long long>(bytes / 1048576.0)) + " MiB, the limit is " +
        std::to_string(static_cast<long long>(dense_limit_bytes / 1048576.0)) +
        " MiB (8192 places); average neighbouring readings first, or use "
        "method kriging, which then works from nearest neighbours");
  }
}

bool cholesky_in_place(Eigen::MatrixXd& lower, int threads) {
  for (Eigen::Index k = 0; k < lower.rows(); k += block) {
    const Eigen::Index size = std::min(block, lower.rows() - k);
    Eigen::Ref<Eigen::MatrixXd> diagonal(lower.block(k, k, size, size));
    const Eigen::LLT<Eigen::Ref<Eigen::MatrixXd>, Eigen::Lower> factor(diagonal);
    if (factor.info() != Eigen::Success) {
      return false;
    }
    if (k + size < lower.rows()) {
      solve_panel(lower, k, size, threads);
      update_rest(lower, k, size, threads);
    }
  }
  // A not-a-number passes every comparison above.
  return lower.diagonal().allFinite();
}

void solve_lower_in_place(const Eigen::MatrixXd& lower, Eigen::MatrixXd& right, int threads) {
  solve_by_columns(lower.triangularView<Eigen::Lower>(), right, threads);
}

void solve_upper_in_place(const Eigen::MatrixXd& lower, Eigen::MatrixXd& right, int threads) {
  solve_by_columns(lower.triangularView<Eigen::Lower>().transpose(), right, threads);
}

Eigen::MatrixXd product(const Eigen::MatrixXd& left, const Eigen::MatrixXd& right) {
  return left * right;
}

Eigen::MatrixXd transposed_product(const Eigen::MatrixXd& left, const Eigen::MatrixXd& right) {
  return left.transpose() * right;
}

void LocalSolver::clear() {
  for (std::vector<double>* list : {&y_, &z_, &value_, &noise_}) {
    list->clear();
  }
}

void LocalSolver::add(double y, double z, double value, double noise_variance) {
  y_.push_back(y);
  z_.push_back(z);
  value_.push_back(value);
  noise_.push_back(noise_variance);
}

bool LocalSolver::factor() {
  const std::size_t n = y_.size();
  one_.assign(n, 1.0);
  inverse_.resize(n);
  upper_.resize(n * n);
  packed_.resize(static_cast<Eigen::Index>(n * (n - 1) / 2));
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
    upper_[i * n + i] = model_.sill + noise_[i];
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
