#pragma once

#include "sweepflux/field/stream/mean_shapes_private.hpp"

#include <algorithm>
#include <cmath>

// What several mean shapes are made of, are bounded by and are held against.

namespace sweepflux {

inline const double ln2 = std::log(2.0);
/// Wider than this in half-widths the shapes are nought for all that matters.
inline constexpr double far_away = 1e6;

/// Tail function with T(0) = 1, T(1) = 1/2: 2^-X at xi = 0, a power law beyond; xi = 1/2 with
/// X = r^2 is the constant-viscosity round jet [Schlichting 1933].
inline Array jet_tail(const Array& x, double xi) {
  if (xi < 1e-3) {
    return (-ln2 * x).exp();
  }
  return ((-1.0 / xi) * (1.0 + (std::pow(2.0, xi) - 1.0) * x).log()).exp();
}

/// How far a shape rises above the largest reading between the rows, in standard deviations. A
/// Gaussian core of half width b whose middle lies anywhere in a gap g is higher there than on the
/// nearest row by ln2 (d/b)^2, d even in [0, g/2]: a third of the most in the mean, and about as
/// much in spread.
inline double hidden_peak(const Array& on_grid, const ShapeSetting& s, double b) {
  const double most = ln2 * std::min(6.0, 0.25 * s.row_gap_m * s.row_gap_m / (b * b));
  const double rise = std::log(std::max(1e-12, on_grid.maxCoeff()) / (1.05 * s.peak_m_s));
  return std::max(0.0, rise) / (0.05 + 0.35 * most);
}

inline constexpr double outlet_size_sd =
    0.7;  // of the logarithm of a half width about what the outlet lets expect

/// Departure of size and place from what the outlet lets expect: width, height, middle.
inline Eigen::Vector4d surprise(const ShapeSetting& s, const EllipseFrame& f) {
  if (s.expected_half_y_m <= 0.0 || s.expected_half_z_m <= 0.0) {
    return Eigen::Vector4d::Zero();
  }
  return {std::log(f.a / s.expected_half_y_m) / outlet_size_sd,
          std::log(f.b / s.expected_half_z_m) / outlet_size_sd,
          (f.yc - s.expected_centre.y_m) / s.expected_centre_sd_m,
          (f.zc - s.expected_centre.z_m) / s.expected_centre_sd_m};
}

/// Expected ln(b/a).
inline double expected_slant(const ShapeSetting& s) {
  return s.expected_half_y_m > 0.0 && s.expected_half_z_m > 0.0
             ? std::log(s.expected_half_z_m / s.expected_half_y_m)
             : 0.0;
}

struct LengthBounds {
  double ln_low, ln_high;
};

/// How far above or below the rows a middle may lie.
inline double beyond_rows(const ShapeSetting& s, double share) {
  return std::max(share * s.row_span_m, 2.0 * s.expected_half_z_m);
}

/// Rows far apart for the stream's expected height may all have missed its middle.
inline double highest_peak(const ShapeSetting& s) {
  const double b = s.expected_half_z_m > 0.0 ? s.expected_half_z_m : 1e300;
  return 3.0 * s.peak_m_s * std::exp2(std::min(6.0, 0.25 * s.row_gap_m * s.row_gap_m / (b * b)));
}

inline LengthBounds length_bounds(const ShapeSetting& s) {
  const double extent = std::max(s.window.width_m(), s.window.height_m());
  return {std::log(extent / 50.0), std::log(1.25 * extent)};
}

}  // namespace sweepflux
