#pragma once

#include <span>
#include <vector>

namespace sweepflux {

/// What rings around an axis add up to; the stream is taken to be the same all round.
struct RingSum {
  double flow_m3_s = 0.0;     ///< sum of ring area times speed
  double square_m4_s2 = 0.0;  ///< sum of ring area times speed squared; times density: momentum
  double area_m2 = 0.0;
};

/// The rule of the comfort-fan standards: stations out from the axis, each stands for the ring
/// whose borders lie halfway to its neighbours [IEC 60879; 10 CFR 430 appendix U]. The innermost
/// ring is closed at the axis, the outermost is as wide outside as inside.
///
/// @param radius_m   rising, >= 0, at least two
/// @param speed_m_s  mean of both sides at that radius, as many
/// @throws InputError  counts differ, fewer than two, or radii not rising
///
/// Accuracy: for a Gaussian stream the sums are within 0.1 % when stations are half a half width
/// apart, and reach to three (tests/integrate/rings_test.cpp).
[[nodiscard]] RingSum ring_sum(std::span<const double> radius_m, std::span<const double> speed_m_s);

/// Mean over a pipe's section by the trapezoid rule of speed times radius, from readings along a
/// radius: nothing at the axis, and no speed at the wall.
///
/// @param radius_m  >= 0, rising, all below the wall's, at least one
/// @return mean speed [m/s]
/// @throws InputError      counts differ, none, radii not rising, or outside the pipe
/// @throws NumericalError  the innermost reading is beyond 0.3 of the wall's radius: the core was
///         not traversed
[[nodiscard]] double pipe_mean_speed_m_s(std::span<const double> radius_m,
                                         std::span<const double> speed_m_s,
                                         double wall_radius_m);

/// Where to measure across a duct so that the plain mean of the readings is the mean speed.
enum class TraverseRule {
  log_tchebycheff,  ///< [ISO 3966; ISO 5802 tables 2 and 3]
  log_linear,       ///< [ISO 3966; ISO 5802 tables 2 and 3]
  equal_areas       ///< middles, by area, of rings of equal area
};

/// Radii, as shares of the wall's, outermost first; all weigh the same. These rules are made for
/// the boundary layer at a wall; a free stream has none.
///
/// @param points  a radius: 3, 4 or 5; equal areas: any, >= 1
/// @throws InputError  other counts
[[nodiscard]] std::vector<double> traverse_radii(TraverseRule rule, int points);

/// Places across a rectangular duct, as shares of its side from one wall, log-Tchebycheff
/// [ISO 3966]; all weigh the same.
///
/// @param lines  5, 6 or 7
/// @throws InputError  other counts
[[nodiscard]] std::vector<double> traverse_lines(int lines);

}  // namespace sweepflux
