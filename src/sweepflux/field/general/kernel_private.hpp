#pragma once

#include "sweepflux/field/general/kernel.hpp"

#include <Eigen/Core>

#include <span>

namespace sweepflux {

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

}  // namespace sweepflux
