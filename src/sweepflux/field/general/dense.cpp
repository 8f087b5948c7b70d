#include "sweepflux/base/error.hpp"
#include "sweepflux/base/parallel.hpp"
#include "sweepflux/field/general/dense_private.hpp"

#include <Eigen/Cholesky>

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

namespace sweepflux {
namespace {

constexpr Eigen::Index block = 192;  // measured: 128 to 256 are within 3 % of each other
constexpr Eigen::Index tile = 384;
constexpr Eigen::Index sides_at_once = 64;  // right-hand sides in one go

/// The panel under a factored diagonal block: rows in tiles.
void solve_panel(Eigen::MatrixXd& a, Eigen::Index k, Eigen::Index size, int threads) {
  const Eigen::Index first = k + size;
  const Eigen::Index rows = a.rows() - first;
  const Eigen::Index tiles = (rows + tile - 1) / tile;
  parallel_for(static_cast<std::size_t>(tiles), threads, [&](std::size_t t) {
    const Eigen::Index row = first + static_cast<Eigen::Index>(t) * tile;
    const Eigen::Index count = std::min(tile, a.rows() - row);
    auto part = a.block(row, k, count, size);
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

template <typename Solve>
void by_columns(Eigen::MatrixXd& right, int threads, const Solve& solve) {
  const Eigen::Index chunks = (right.cols() + sides_at_once - 1) / sides_at_once;
  parallel_for(static_cast<std::size_t>(chunks), threads, [&](std::size_t c) {
    const Eigen::Index first = static_cast<Eigen::Index>(c) * sides_at_once;
    solve(first, std::min(sides_at_once, right.cols() - first));
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
  by_columns(right, threads, [&](Eigen::Index first, Eigen::Index count) {
    auto part = right.middleCols(first, count);
    lower.triangularView<Eigen::Lower>().solveInPlace(part);
  });
}

void solve_upper_in_place(const Eigen::MatrixXd& lower, Eigen::MatrixXd& right, int threads) {
  by_columns(right, threads, [&](Eigen::Index first, Eigen::Index count) {
    auto part = right.middleCols(first, count);
    lower.triangularView<Eigen::Lower>().transpose().solveInPlace(part);
  });
}

Eigen::MatrixXd product(const Eigen::MatrixXd& left, const Eigen::MatrixXd& right) {
  return left * right;
}

Eigen::MatrixXd transposed_product(const Eigen::MatrixXd& left, const Eigen::MatrixXd& right) {
  return left.transpose() * right;
}

}  // namespace sweepflux
