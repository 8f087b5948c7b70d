#pragma once

#include <Eigen/Core>

#include <cstddef>

namespace sweepflux {

/// Bytes that one dense matrix of a solve may take: 8 N^2 for N = 8192.
inline constexpr double dense_limit_bytes = 512.0 * 1024.0 * 1024.0;

/// @throws NumericalError  8 N^2 is above the limit; says both, and what to do
void require_dense_fits(std::size_t count, const char* method);

/// Cholesky factor in place: reads and writes the lower triangle only. By blocks, the trailing
/// update in tiles on several threads; each tile is summed in one order, so any number of
/// threads gives the same bits.
///
/// @param threads  0: as many as the machine has
/// @return false when the matrix is not positive definite; `lower` is then spoilt
[[nodiscard]] bool cholesky_in_place(Eigen::MatrixXd& lower, int threads = 0);

/// Solves L X = B in place for a lower factor, columns shared out over threads.
void solve_lower_in_place(const Eigen::MatrixXd& lower, Eigen::MatrixXd& right, int threads = 0);

/// Products, so that their kernels are compiled here alone.
[[nodiscard]] Eigen::MatrixXd product(const Eigen::MatrixXd& left, const Eigen::MatrixXd& right);
[[nodiscard]] Eigen::MatrixXd transposed_product(const Eigen::MatrixXd& left,
                                                 const Eigen::MatrixXd& right);

/// Solves L' X = B in place.
void solve_upper_in_place(const Eigen::MatrixXd& lower, Eigen::MatrixXd& right, int threads = 0);

}  // namespace sweepflux
