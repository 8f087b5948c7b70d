#pragma once

#include "sweepflux/base/geometry.hpp"

#include <Eigen/Core>

#include <memory>
#include <string>
#include <vector>

namespace sweepflux {

using Array = Eigen::ArrayXd;
using Vector = Eigen::VectorXd;
using Matrix = Eigen::MatrixXd;

/// What a shape must know of the data before it is fitted.
struct ShapeSetting {
  double peak_m_s = 1.0;    ///< largest smoothed speed
  Window window;            ///< of the samples
  double row_span_m = 0.0;  ///< from the lowest to the highest sweep
  double row_gap_m = 0.0;   ///< median step from one sweep's height to the next
  /// What the outlet lets expect of the stream; half widths of nought: nothing.
  PlanePoint expected_centre;
  double expected_centre_sd_m = 0.0;
  double expected_half_y_m = 0.0;
  double expected_half_z_m = 0.0;
  /// ln(q/2) of the super-ellipse's exponents: nought where the jet has outgrown its outlet.
  double expected_flatness_y = 0.0;
  double expected_flatness_z = 0.0;
  Array grid_y, grid_z;  ///< where no peak may hide between the rows
};

/// Half width of a round free jet over the distance from its outlet [Hussein 1994].
inline constexpr double free_jet_spread = 0.094;

/// Prior standard deviations of ln(q/2) in both directions.
inline constexpr double flatness_sd_y = 0.25, flatness_sd_z = 0.35;

/// Half-width coordinates: P = (c (y - yc) + s (z - zc)) / a, R = (-s (y - yc) + c (z - zc)) / b.
struct EllipseFrame {
  double yc = 0.0, zc = 0.0, a = 1.0, b = 1.0, phi = 0.0;
};

void half_width_coordinates(
    const EllipseFrame& frame, const Array& y, const Array& z, Array& p, Array& r);

/// A parametric candidate for the mean speed of one plane. Parameters are kept so that one prior
/// standard deviation is a step of like meaning for each (logarithms of lengths and exponents).
class MeanShape {
 public:
  virtual ~MeanShape() = default;

  [[nodiscard]] virtual int size() const = 0;
  [[nodiscard]] virtual Array evaluate(const Vector& t, const Array& y, const Array& z) const = 0;
  [[nodiscard]] virtual Vector lower() const = 0;
  [[nodiscard]] virtual Vector upper() const = 0;
  /// Residuals that stand for prior knowledge, each in standard deviations; always as many.
  [[nodiscard]] virtual Vector prior_residuals(const Vector& t) const = 0;
  /// Prior standard deviation of each parameter: the size of the step that carries shape doubt.
  [[nodiscard]] virtual Vector prior_sd(const Vector& t) const = 0;
  /// The same shape a quarter wider and without its dip: the envelope of the residual.
  [[nodiscard]] virtual Vector widened(const Vector& t) const = 0;
  [[nodiscard]] virtual EllipseFrame frame(const Vector& t) const = 0;
  /// Starting points, given the fitted Gaussian (six parameters).
  [[nodiscard]] virtual std::vector<Vector> starts(const Vector& gaussian) const = 0;
  /// Indices of the flatness exponent and the hub dip, or -1: what may change along the stream.
  [[nodiscard]] virtual int flatness_index() const { return -1; }
  [[nodiscard]] virtual int dip_index() const { return -1; }
};

/// ln(q/2) of an outlet whose stream has not outgrown it: an end that mixes over a half width
/// `grown_m` about the outlet's own edge falls as steeply, where half the speed is left, as 2^-r^q
/// with q = 2 half_m / grown_m, at most six; nought up to a quarter more than grown.
[[nodiscard]] double expected_flatness(double half_m, double grown_m);

/// Rotated Gaussian ellipse: A 2^-(P^2 + R^2). t = A, yc, zc, ln a, ln b, phi.
[[nodiscard]] std::unique_ptr<MeanShape> make_gaussian_shape(const ShapeSetting& setting);
/// The same, but in each direction in which the stream has not outgrown its outlet a top hat whose
/// ends are error functions, as those of a mixing layer [Goertler 1942], about as wide as the
/// outlet lets expect; of a round outlet a round one (eight parameters; last the logarithms of both
/// widths).
[[nodiscard]] std::unique_ptr<MeanShape> make_outlet_shape(const ShapeSetting& setting);
/// The same times 1 + c (P^2 + R^2) + d (P^2 + R^2)^2, which holds the measured far field of a
/// round jet [Hussein 1994, Table 4] (eight parameters; last c, d >= 0).
[[nodiscard]] std::unique_ptr<MeanShape> make_bent_gaussian_shape(const ShapeSetting& setting);
/// Super-ellipse with free tail, flatness and hub dip (twelve parameters).
[[nodiscard]] std::unique_ptr<MeanShape> make_core_shape(const ShapeSetting& setting);
/// Two cores of common half-widths and tail (nine parameters).
[[nodiscard]] std::unique_ptr<MeanShape> make_two_core_shape(const ShapeSetting& setting);
/// A sum of `cores` Gaussians with half widths of their own, about alike (five parameters each).
[[nodiscard]] std::unique_ptr<MeanShape> make_several_core_shape(const ShapeSetting& setting,
                                                                 int cores);

}  // namespace sweepflux
