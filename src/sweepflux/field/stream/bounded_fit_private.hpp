#pragma once

#include <Eigen/Core>

#include <functional>

namespace sweepflux {

/// Result of a bounded minimisation.
struct BoundedFit {
  Eigen::VectorXd at;
  double cost = 0.0;
  int iterations = 0;
};

/// Least squares inside a box: damped Gauss-Newton [Marquardt 1963] with forward differences;
/// parameters that lie on a bound and would leave are held for the step. Cost = half the sum of
/// squares.
///
/// @param step  a small, sensible change of each parameter: sets difference and damping scale
[[nodiscard]] BoundedFit fit_least_squares(
    const std::function<Eigen::VectorXd(const Eigen::VectorXd&)>& residuals,
    const Eigen::VectorXd& start,
    const Eigen::VectorXd& lower,
    const Eigen::VectorXd& upper,
    const Eigen::VectorXd& step,
    int most_iterations);

/// Smooth minimisation inside a box: BFGS on the free parameters with projection. Few parameters.
///
/// @param objective  value; fills the gradient
[[nodiscard]] BoundedFit minimise(
    const std::function<double(const Eigen::VectorXd&, Eigen::VectorXd&)>& objective,
    const Eigen::VectorXd& start,
    const Eigen::VectorXd& lower,
    const Eigen::VectorXd& upper,
    int most_iterations);

}  // namespace sweepflux
