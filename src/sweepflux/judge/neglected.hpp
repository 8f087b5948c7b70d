#pragma once

namespace sweepflux {

// Sizes of what stands between the momentum of a map and the thrust of a balance.

/// A range of shares, low <= high.
struct ShareRange {
  double low = 0.0;
  double high = 0.0;
};

/// Momentum that a round head sees of a round Gaussian jet, as a share of the true one. The head
/// shows the mean over its disc; flow is kept, momentum is not. With w = ln 2 (a / r_h)^2:
/// (2 / w) (1 - exp(-w) (I0(w) + I1(w))), about 1 - 0.347 (a / r_h)^2 (derived here).
///
/// @param head_by_half_width  radius of the head / half width of the jet, >= 0
[[nodiscard]] double head_momentum_ratio(double head_by_half_width);

/// Share of the momentum that a jet has left in a room, where the air that it entrains must come
/// back against it: 1 / (1 + k x^2 / A). k is 0.282^2 from entrainment [Ricou 1961] and 0.119 by
/// [Hussein 1994]: the range spans both.
///
/// @param downstream_m  from the outlet, >= 0
/// @param section_m2    of the room across the stream, > 0
[[nodiscard]] ShareRange confined_momentum_share(double downstream_m, double section_m2);

/// Momentum that a slow probe sees in a sweep that does not stop, as a share of the true one:
/// (sqrt(pi) / k) exp(1 / k^2) erfc(1 / k) for a Gaussian profile (derived here).
///
/// @param lag_by_width  k = rate * time constant / standard deviation of the profile, >= 0
[[nodiscard]] double lag_momentum_ratio(double lag_by_width);

/// Largest relative error of a sum of u^2 over even rows of a Gaussian jet:
/// 2 exp(-(pi^2 / (2 ln 2)) (half width / spacing)^2), the first alias (derived here). At most 1.
///
/// @param spacing_by_half_width  >= 0
[[nodiscard]] double row_spacing_error(double spacing_by_half_width);

/// Share of the momentum of the mean flow that a probe misses with nothing shown below its
/// starting speed: between (v / peak)^2 for a Gaussian and (v / peak)^1.5 for a fat-tailed jet
/// (derived here).
[[nodiscard]] ShareRange momentum_below_start(double starting_speed_m_s, double peak_m_s);

}  // namespace sweepflux
