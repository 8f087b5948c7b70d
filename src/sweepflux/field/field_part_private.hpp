#pragma once

#include "sweepflux/field/mean_shapes_private.hpp"

namespace sweepflux {

/// Posterior of the speed at given places.
struct NodePosterior {
  Array mean;      ///< [m/s]; may be a little negative where a process overshoots
  Array variance;  ///< [m2/s2]
};

/// What a new sweep would tell: the posterior at its places, and how it goes with a functional.
struct CrossPosterior {
  Vector with_functional;  ///< m: covariance of c'u with u at the new places
  Matrix among;            ///< m x m: covariance of u at the new places
  Array mean;              ///< m
};

/// One candidate's posterior of the speed in the planes of a survey.
class FieldPart {
 public:
  virtual ~FieldPart() = default;

  [[nodiscard]] virtual NodePosterior posterior(int plane, const Array& y,
                                                const Array& z) const = 0;
  /// W' S W for k functionals of one plane: W is nodes x k, S the posterior covariance of u.
  [[nodiscard]] virtual Matrix covariance(int plane, const Array& y, const Array& z,
                                          const Matrix& w) const = 0;
  /// A functional c of `plane` at the nodes (y, z) against places of plane `other`.
  [[nodiscard]] virtual CrossPosterior cross(int plane, const Array& y, const Array& z,
                                             const Vector& c, int other, const Array& y_new,
                                             const Array& z_new) const = 0;
};

}  // namespace sweepflux
