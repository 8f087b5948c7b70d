#pragma once

#include "sweepflux/field/stream/mean_shapes_private.hpp"

#include <functional>
#include <vector>

namespace sweepflux {

/// Posterior of the speed at given places.
struct NodePosterior {
  Array mean;      ///< [m/s]; may be a little negative where a process overshoots
  Array variance;  ///< [m2/s2]
};

/// Weights of k functionals at some nodes, n x k, from the posterior mean there. Nodes are asked
/// for a run at a time: the first one's count in the whole, and the means.
using NodeWeights = std::function<Matrix(Eigen::Index first, const Array& mean)>;

/// Posterior of the speed at nodes, and W' S W of functionals of it, S its covariance.
struct NodeFunctionals {
  NodePosterior at;
  Matrix covariance;  ///< k x k
};

/// Places in the planes that a part knows; plane -1: one that it knows nothing of.
struct Places {
  std::vector<int> plane;
  Array y, z;

  [[nodiscard]] Eigen::Index size() const { return y.size(); }
};

/// k functionals of the speed u at n nodes as they go about its posterior mean m, each
/// linear'(u - m) + square'(u - m)^2. The square counts where shapes differ by much: what two
/// shapes far apart agree upon to first order they need not agree upon.
struct Functionals {
  Matrix linear;  ///< n x k
  Matrix square;  ///< n x k
};

/// What new sweeps would tell: the posterior at their places, and how it goes with functionals.
struct CrossPosterior {
  Matrix with_functionals;  ///< m x k: covariance of u at the new places with the functionals
  Matrix among;             ///< m x m: covariance of u at the new places
  Array mean;               ///< m
  Vector of_squares;        ///< k: variance of the functionals that their squares add
};

/// One candidate's posterior of the speed in the planes of a survey.
class FieldPart {
 public:
  virtual ~FieldPart() = default;

  /// The parametric mean alone; nought for a candidate without a shape.
  [[nodiscard]] virtual Array shape(int plane, const Array& y, const Array& z) const = 0;
  /// In memory of samples x a few hundred nodes, however many nodes there are.
  [[nodiscard]] virtual NodeFunctionals functionals(int plane,
                                                    const Array& y,
                                                    const Array& z,
                                                    const NodeWeights& weights) const = 0;
  /// Functionals of `plane` at the nodes (y, z) against new places. At a place that the part knows
  /// nothing of, the mean, the covariances and the variance are nought.
  [[nodiscard]] virtual CrossPosterior cross(int plane,
                                             const Array& y,
                                             const Array& z,
                                             const Functionals& of,
                                             const Places& places) const = 0;
};

}  // namespace sweepflux
