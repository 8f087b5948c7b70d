#include "sweepflux/field/stream/bounded_fit_private.hpp"
#include "sweepflux/field/stream/shape_spread_private.hpp"

#include <Eigen/Eigenvalues>

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

constexpr double wanted_fall = 0.5 * outer_point * outer_point;  // of the log posterior
constexpr double widest = 2.0;  // scales that a point may lie from the centre along an axis

Vector clipped(const Vector& t, const Vector& lower, const Vector& upper) {
  return t.cwiseMax(lower).cwiseMin(upper);
}

}  // namespace

std::vector<Vector> spread_posterior(const std::function<Vector(const Vector&)>& residuals,
                                     const Vector& start,
                                     const Vector& scale,
                                     const Vector& lower,
                                     const Vector& upper) {
  const BoundedFit fit = fit_least_squares(residuals, start, lower, upper, scale, 12);
  const Vector& centre = fit.at;
  const Vector r0 = residuals(centre);
  const double cost0 = 0.5 * r0.squaredNorm();
  const Eigen::Index n = centre.size();
  Matrix jacobian(r0.size(), n);
  for (Eigen::Index k = 0; k < n; ++k) {
    Vector moved = centre;
    const double h = 0.02 * scale[k];
    moved[k] += moved[k] + h > upper[k] ? -h : h;
    jacobian.col(k) = (residuals(moved) - r0) * (scale[k] / (moved[k] - centre[k]));
  }
  const Matrix curvature = jacobian.transpose() * jacobian;
  const Eigen::SelfAdjointEigenSolver<Matrix> axes(curvature);
  std::vector<Vector> points = {centre};
  for (Eigen::Index k = 0; k < n; ++k) {
    const Vector axis = scale.cwiseProduct(axes.eigenvectors().col(k));
    const double curve = std::max(axes.eigenvalues()[k], 0.0);
    const double first = std::min(widest, outer_point / std::sqrt(curve + 1e-12));
    for (const double sign : {1.0, -1.0}) {
      // Where the posterior has fallen by as much as it should: a few secant steps on the root.
      double reach = first;
      for (int attempt = 0; attempt < 8; ++attempt) {
        const Vector t = clipped(centre + sign * reach * axis, lower, upper);
        const double fall = 0.5 * residuals(t).squaredNorm() - cost0;
        if (std::abs(fall - wanted_fall) < 0.01 * wanted_fall) {
          break;
        }
        const double ratio = std::sqrt(wanted_fall / std::max(fall, 0.05 * wanted_fall));
        const double next = std::clamp(reach * std::clamp(ratio, 0.4, 2.0), 1e-6, widest);
        if (std::abs(next - reach) < 1e-3 * reach) {
          break;
        }
        reach = next;
      }
      points.push_back(clipped(centre + sign * reach * axis, lower, upper));
    }
  }
  return points;
}

std::vector<Vector> spread_guess(const Vector& centre,
                                 const Vector& sd,
                                 const Vector& lower,
                                 const Vector& upper) {
  std::vector<Vector> points = {clipped(centre, lower, upper)};
  for (Eigen::Index k = 0; k < centre.size(); ++k) {
    for (const double sign : {1.0, -1.0}) {
      Vector t = centre;
      t[k] += sign * outer_point * sd[k];
      points.push_back(clipped(t, lower, upper));
    }
  }
  return points;
}

Vector mean_over_points(const Matrix& values) {
  Vector mean = values.col(0);
  if (values.cols() > 1) {
    const Matrix outer = values.rightCols(values.cols() - 1).colwise() - mean;
    mean += outer_weight * outer.rowwise().sum();
  }
  return mean;
}

Matrix departures_over_points(const Matrix& values) {
  if (values.cols() == 1) {
    return Matrix(values.rows(), 0);
  }
  const Vector centre = values.col(0);
  return std::sqrt(outer_weight) * (values.rightCols(values.cols() - 1).colwise() - centre);
}

}  // namespace sweepflux
