#pragma once

#include "sweepflux/field/general/kernel.hpp"

#include <Eigen/Core>

#include <cstddef>
#include <span>
#include <vector>

namespace sweepflux {

/// Kriging from a few readings, many times over: one small factor, then any number of places that
/// share the readings. Storage is kept between uses; one solver a thread.
class LocalSolver {
 public:
  explicit LocalSolver(const Covariance& model) : model_(model) {}

  /// Takes readings: scaled places, values, and noise variances.
  /// @return false when the factor breaks down
  [[nodiscard]] bool set(std::span<const double> y,
                         std::span<const double> z,
                         std::span<const double> value,
                         std::span<const double> noise_variance);

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
  std::vector<double> value_;    // factor^-1 value
  std::vector<double> one_;      // factor^-1 1
  std::vector<double> inverse_;  // of the factor's diagonal
  std::vector<double> upper_;    // U of K = U'U, by rows
  Eigen::ArrayXd packed_;        // covariances in the making
  std::vector<double> toward_;   // covariances with wanted places, by rows
};

}  // namespace sweepflux
