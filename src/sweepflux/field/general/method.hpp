#pragma once

namespace sweepflux {

/// How scattered samples become a field.
enum class Method {
  automatic,        ///< the default: the model of the stream, sampled from its posterior
  kriging,          ///< ordinary kriging with a fitted Matern 5/2 covariance
  linear,           ///< linear on a Delaunay triangulation
  thin_plate,       ///< thin-plate spline
  inverse_distance  ///< inverse-distance weights, power 2
};

}  // namespace sweepflux
