#pragma once

#include "sweepflux/field/stream/mean_shapes_private.hpp"

#include <array>
#include <limits>
#include <vector>

namespace sweepflux {

/// What a process sees of a set of places in one or several planes.
struct Features {
  Array p, r;  ///< coordinates in which the covariance is stationary
  Array w;     ///< envelope
  Array lx;    ///< logarithm of the distance from the virtual origin
  Eigen::ArrayXi plane;
  Matrix j_shape;      ///< n x shape parameters: mean's answer to a prior-sized step
  Matrix j_structure;  ///< n x structure parameters

  [[nodiscard]] Eigen::Index size() const { return p.size(); }
  /// Puts another set behind this one.
  void append(const Features& more);
  /// Some of the places.
  [[nodiscard]] Features rows(Eigen::Index from, Eigen::Index count) const;
};

/// Logarithms of a process's own parameters.
struct Hyper {
  double ln_sigma = 0.0;   ///< of the process, as a share of the envelope
  double ln_length = 0.0;  ///< correlation length along p
  double ln_ratio = 0.0;   ///< correlation length along r over that along p
  double ln_noise = 0.0;   ///< factor on the stated noise
  double ln_gain = -30.0;  ///< relative error common to one sweep
  double ln_reach = 0.0;   ///< correlation length in ln x (several planes)
  double ln_own = 0.0;     ///< each plane's own departure of shape, in prior sd (several planes)
};

/// Nodes that a posterior is worked out for together: their covariances stay in the cache.
inline constexpr Eigen::Index nodes_at_once = 384;

/// 1 where two places lie in one plane, else 0.
[[nodiscard]] Matrix same_plane(const Features& a, const Features& b);

/// Matern 5/2 [Rasmussen & Williams 2006, eq. 4.17] times both envelopes and exp(-|d ln x|/reach),
/// without the factor sigma^2. `distance`, when given, receives sqrt(5) times the scaled distance.
[[nodiscard]] Matrix matern(const Features& a,
                            const Features& b,
                            const Hyper& h,
                            Matrix* distance = nullptr);

/// sigma^2 matern(f, f) W for places in one plane, never holding n x n. Covariances in single
/// precision, sums in double: within 1e-6, far below what noise leaves of any variance.
[[nodiscard]] Matrix matern_times(const Features& f, const Hyper& h, const Matrix& w);

/// A search for the most probable parameters, in the order sigma, length, ratio, noise, gain, and
/// for several planes reach and own.
struct HyperSearch {
  static constexpr double flat = std::numeric_limits<double>::infinity();
  std::array<double, 7> prior_mean{}, prior_sd{flat, flat, flat, flat, flat, flat, flat};
  std::array<double, 7> lower{}, upper{};
  std::vector<std::array<double, 7>> starts;  ///< the best end of all is taken
  bool several_planes = false;
};

/// Maximises likelihood times prior by its analytic gradient [Rasmussen & Williams 2006, 5.4.1].
///
/// @param fixed  n x n part of the covariance that no parameter moves (heights, background)
/// @param gain   n x n: products of the mean speeds of places in one sweep; empty: no gain
[[nodiscard]] Hyper choose_hyper(const HyperSearch& search,
                                 const Features& f,
                                 const Vector& residual,
                                 const Array& sd,
                                 const Matrix& fixed,
                                 const Matrix& gain);

}  // namespace sweepflux
