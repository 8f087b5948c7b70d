#pragma once

#include "sweepflux/field/kernel.hpp"

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

  /// Takes readings: scaled places, values less the mean, and noise variances.
  /// @return false when the factor breaks down
  [[nodiscard]] bool set(std::span<const double> y,
                         std::span<const double> z,
                         std::span<const double> value,
                         std::span<const double> noise_variance);

  /// Share of each place's variance that the readings explain, and what they foretell: the value
  /// (less the mean), the weight that they give a constant 1 (the rest falls to the mean).
  struct Answer {
    double value = 0.0;
    double explained = 0.0;
    double constant = 0.0;
  };

  /// @param y, z  scaled places, as many as `into`
  void ask(std::span<const double> y, std::span<const double> z, std::span<Answer> into);

 private:
  Covariance model_;
  Eigen::Index n_ = 0;
  Eigen::Index width_ = 0;  // of a row of `upper_`
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
