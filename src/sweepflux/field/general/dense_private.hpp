#pragma once

#include "sweepflux/base/geometry.hpp"
#include "sweepflux/base/parallel.hpp"
#include "sweepflux/field/general/kernel.hpp"

#include <Eigen/Core>

#include <algorithm>
#include <cstddef>
#include <span>
#include <vector>

namespace sweepflux {

/// Bytes that one dense matrix of a solve may take: 8 N^2 for N = 8192.
inline constexpr double dense_limit_bytes = 512.0 * 1024.0 * 1024.0;

/// Runs `work(first, last)` over the parts, `most` long, of 0 to `count`, on up to `threads`
/// threads.
template <typename Work>
void in_parts(std::size_t count, std::size_t most, int threads, const Work& work) {
  parallel_for((count + most - 1) / most, threads, [&](std::size_t part) {
    work(part * most, std::min(count, (part + 1) * most));
  });
}

/// @throws NumericalError  8 N^2 is above the limit; says both, and what to do
void require_dense_fits(std::size_t count, const char* method);

/// Cholesky factor in place: reads and writes the lower triangle only. By blocks, the trailing
/// update in tiles on several threads; each tile is summed in one order, so any number of
/// threads gives the same bits.
///
/// @param threads  0: as many as the machine has
/// @return false when the matrix is not positive definite; `lower` is then spoilt
[[nodiscard]] bool cholesky_in_place(Eigen::MatrixXd& lower, int threads = 0);

/// Solves L X = B, and L' X = B, in place for a lower factor, columns shared out over threads.
void solve_lower_in_place(const Eigen::MatrixXd& lower, Eigen::MatrixXd& right, int threads = 0);
void solve_upper_in_place(const Eigen::MatrixXd& lower, Eigen::MatrixXd& right, int threads = 0);

/// Products, so that their kernels are compiled here alone.
[[nodiscard]] Eigen::MatrixXd product(const Eigen::MatrixXd& left, const Eigen::MatrixXd& right);
[[nodiscard]] Eigen::MatrixXd transposed_product(const Eigen::MatrixXd& left,
                                                 const Eigen::MatrixXd& right);

/// Turns squared scaled distances r^2 into correlations, in place.
void correlate(Kernel kernel, Eigen::Ref<Eigen::ArrayXd> squared);

/// Places in the frame where the covariance is a function of plain distance: turned by the
/// angle, divided by the ranges. Two rows, a column a place.
[[nodiscard]] Eigen::Matrix2Xd scaled_places(const Covariance& model,
                                             std::span<const PlanePoint> at);

/// Covariances between all places of `a` (rows) and `b` (columns), both scaled.
[[nodiscard]] Eigen::MatrixXd cross_covariance(const Covariance& model,
                                               const Eigen::Matrix2Xd& a,
                                               const Eigen::Matrix2Xd& b);

/// Covariances among the scaled places, lower triangle and diagonal; nothing else is touched.
void fill_lower_covariance(const Covariance& model,
                           const Eigen::Matrix2Xd& at,
                           Eigen::MatrixXd& lower);

/// Kriging from a few readings, many times over: one small factor, then any number of places that
/// share the readings. Storage is kept between uses; one solver a thread.
class LocalSolver {
 public:
  explicit LocalSolver(const Covariance& model) : model_(model) {}

  /// Forgets the readings, and takes them one by one: scaled place, value and noise variance.
  void clear();
  void add(double y, double z, double value, double noise_variance);
  /// Factors their covariance.
  /// @return false when it breaks down
  [[nodiscard]] bool factor();

  /// What the readings predict of a place under a known mean of 0: the value, the part of the
  /// variance that they explain, and the sum of their weights (the rest falls to the mean).
  struct Answer {
    double value = 0.0;
    double explained = 0.0;
    double constant = 0.0;
  };

  /// Mean that these readings alone make likeliest, and its variance.
  struct Mean {
    double value = 0.0;
    double variance = 0.0;
  };
  [[nodiscard]] Mean mean() const;

  /// @param y, z  scaled places, as many as `into`
  void ask(std::span<const double> y, std::span<const double> z, std::span<Answer> into);

 private:
  Covariance model_;
  std::vector<double> y_;
  std::vector<double> z_;
  std::vector<double> value_;    // once factored: factor^-1 value
  std::vector<double> noise_;    // variances
  std::vector<double> one_;      // factor^-1 1
  std::vector<double> inverse_;  // of the factor's diagonal
  std::vector<double> upper_;    // U of K = U'U, by rows
  Eigen::ArrayXd packed_;        // covariances in the making
  std::vector<double> toward_;   // covariances with wanted places, by rows
};

}  // namespace sweepflux
