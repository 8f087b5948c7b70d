#pragma once

namespace sweepflux {

/// What a rotor at rest says: the speed it would have read lies below the starting speed. The
/// likelihood of a mean m is that of a censored normal variable, Phi((limit - m) / sd) [Tobin
/// 1958]. Readings just above the start are there by chance as often as others are missing below
/// it; a term that begins at the start itself, and not before, takes the skirt for too strong.
struct BelowStart {
  double limit_m_s = 0.0;
  double sd_m_s = 0.0;  ///< > 0: of one reading there, and of the speed at which the rotor starts

  /// Its square, halved, is the negative log likelihood of the mean: the row of a least-squares
  /// fit.
  [[nodiscard]] double residual(double mean_m_s) const;

  /// The normal reading whose likelihood has the same slope and curvature at `mean_m_s` (Laplace).
  struct Reading {
    double value_m_s = 0.0;
    double sd_m_s = 0.0;
  };
  [[nodiscard]] Reading stand_in(double mean_m_s) const;
};

/// @param noise_m_s  of one reading at the start
[[nodiscard]] BelowStart below_start(double starting_speed_m_s, double noise_m_s);

}  // namespace sweepflux
