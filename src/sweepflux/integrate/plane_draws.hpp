#pragma once

#include "sweepflux/base/geometry.hpp"
#include "sweepflux/field/stream/stream_posterior.hpp"

#include <array>
#include <vector>

namespace sweepflux {

/// Integrals of one plane by density 1: volume flow [m3/s], momentum flux / density [m4/s2], kinetic
/// power / density [m5/s3], in this order wherever three stand together.
using Triple = std::array<double, 3>;

/// What the draws of the posterior say of one plane; every list is as long as there are draws.
struct PlaneDraws {
  std::vector<Triple> whole;       ///< over the whole plane, above the floor
  std::vector<Triple> inside;      ///< over the window that was read; empty without a window
  std::vector<Triple> seen;        ///< of that, where the draw is above the probe's starting speed
  std::vector<Triple> head;        ///< what the probe's head took by averaging over its face
  std::vector<double> peak_speed_m_s;
  std::vector<PlanePoint> centre;  ///< of the momentum flux
  std::vector<double> half_width_y_m, half_width_z_m;  ///< half the width at half the largest speed
                                                       ///< of the profile through the centre
};

/// Median share of the momentum flux inside the window that was read; 1 without a window.
[[nodiscard]] double momentum_share_inside(const PlaneDraws& draws);

/// With less of it inside, the readings do not bracket a stream.
inline constexpr double bracketed_share = 0.5;

/// Integrates every draw. Whole plane: trapezoid in coordinates stretched by the hyperbolic sine to
/// 25 half widths; window: midpoints. Accuracy 0.1 % for the published profiles, 0.5 % for edges as
/// sharp as the prior has them. The head's share, to second order: M = M_b + (d^2/16) int |grad u|^2,
/// P = P_b + (3 d^2/32) int u |grad u|^2, flow untouched; from the mean over a disc,
/// u_b = u + (d^2/32) lap u, by parts.
///
/// @param window           that was read; one of no area gives no `inside`
/// @param probe            its head's diameter and starting speed
/// @param threads          the answer is the same for any number
[[nodiscard]] PlaneDraws integrate_draws(const StreamPosterior& posterior,
                                         std::size_t plane,
                                         const Window& window,
                                         const Probe& probe,
                                         int threads);

}  // namespace sweepflux
