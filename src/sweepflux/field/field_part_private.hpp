#pragma once

#include "sweepflux/field/mean_shapes_private.hpp"

#include <vector>

namespace sweepflux {

/// Posterior of the speed at given places.
struct NodePosterior {
  Array mean;      ///< [m/s]; may be a little negative where a process overshoots
  Array variance;  ///< [m2/s2]
};

/// Places in the planes that a part knows; plane -1: one that it knows nothing of.
struct Places {
  std::vector<int> plane;
  Array y, z;

  [[nodiscard]] Eigen::Index size() const { return y.size(); }
};

/// What new sweeps would tell: the posterior at their places, and how it goes with a functional.
struct CrossPosterior {
  Vector with_functional;  ///< m: covariance of c'u with u at the new places
  Matrix among;            ///< m x m: covariance of u at the new places
  Array mean;              ///< m
};

/// One candidate's posterior of the speed in the planes of a survey.
class FieldPart {
 public:
  virtual ~FieldPart() = default;

  /// The parametric mean alone; nought for a candidate without a shape.
  [[nodiscard]] virtual Array shape(int plane, const Array& y, const Array& z) const = 0;
  [[nodiscard]] virtual NodePosterior posterior(int plane,
                                                const Array& y,
                                                const Array& z) const = 0;
  /// W' S W for k functionals of one plane: W is nodes x k, S the posterior covariance of u.
  [[nodiscard]] virtual Matrix covariance(int plane,
                                          const Array& y,
                                          const Array& z,
                                          const Matrix& w) const = 0;
  /// A functional c of `plane` at the nodes (y, z) against new places. At a place that the part
  /// knows nothing of, the mean, the covariances and the variance are nought.
  [[nodiscard]] virtual CrossPosterior cross(
      int plane, const Array& y, const Array& z, const Vector& c, const Places& places) const = 0;
};

}  // namespace sweepflux
