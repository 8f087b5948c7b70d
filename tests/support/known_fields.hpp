#pragma once

#include "sweepflux/base/geometry.hpp"

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace sweepflux::test {

/// What truly flows through a whole plane, the air that drifts along with the jet left out.
struct ExactFlux {
  double volume_flow_m3_s = 0.0;
  double momentum_over_density_m4_s2 = 0.0;  ///< integral of speed squared
};

/// Velocity in the fan's frame, with the outlet's plane as x = 0.
struct Velocity {
  double u_m_s = 0.0;  ///< downstream
  double v_m_s = 0.0;  ///< along y
  double w_m_s = 0.0;  ///< along z
};

/// A stream whose flow and momentum are known exactly.
///
/// Most are self-similar about the outlet: speed = 3 m/s (D0/x) shape(y D0/x, (z - z0) D0/x) with
/// D0 = 1.8 m, so that momentum is the same at every distance and flow grows with x. The spoiled
/// ones break that on purpose.
struct KnownField {
  std::string name;
  std::string description;
  bool irregular = false;  ///< no single core, nor a ring, nor two alike
  double outlet_height_m = 0.9;
  bool tall = false;  ///< a slot of 0.06 m x 0.80 m; otherwise a round outlet of 0.30 m
  std::optional<double> floor_m;
  double co_flow_m_s = 0.0;          ///< drifts along everywhere; no part of the jet
  PlanePoint flow_centre_at_1_8;     ///< relative to the outlet's axis, of the inflow at x = D0
  double height_low_at_1_8 = -0.42;  ///< where sweeps make sense, relative to the outlet's axis
  double height_high_at_1_8 = 0.42;
  double flow_at_1_8_m3_s = 0.0;     ///< of the jet; sets how much air is drawn in
  bool grows_in_height = true;      ///< false: as tall at every distance
  bool schlichting_inflow = false;  ///< entrainment of the constant-viscosity jet, in closed form

  /// Axial speed of the jet alone; x from the outlet's plane, z above the floor.
  std::function<double(double x_m, double y_m, double z_m)> jet_speed_m_s;
  /// Whole plane at x.
  std::function<ExactFlux(double x_m)> exact;

  /// Axial speed with what drifts along.
  [[nodiscard]] double speed_m_s(double x_m, double y_m, double z_m) const;
  /// Spreads along rays from the outlet, and draws air in like a round jet of equal flow.
  [[nodiscard]] Velocity velocity_m_s(double x_m, double y_m, double z_m) const;
};

/// The distance at which shapes are stated.
inline constexpr double known_field_distance_m = 1.8;
/// Peak at that distance.
inline constexpr double known_field_peak_m_s = 3.0;

/// Ten textbook shapes, then ten irregular ones. Built once.
[[nodiscard]] const std::vector<KnownField>& known_fields();

/// Fields that break what pooling over distances would like to hold: an origin behind the outlet,
/// momentum lost on the way, a hub's wake that fills, a tower that grows in one direction, an
/// ellipse that turns, lobes that merge, an axis with a kink, a middle that is stronger. For
/// distances 1.4, 1.8 and 2.2 m.
[[nodiscard]] const std::vector<KnownField>& spoiled_fields();

/// Twenty irregular ones drawn from a fixed seed: no prior was chosen with these in sight, and none
/// may be.
[[nodiscard]] const std::vector<KnownField>& drawn_fields();

/// The four profiles that handbooks and measurements state for a round jet: Gaussian, constant
/// viscosity, 3/2 power, far field of Hussein, Capp & George.
[[nodiscard]] const std::vector<KnownField>& published_fields();

/// By name, in any list.
///
/// @throws std::invalid_argument  no such field
[[nodiscard]] const KnownField& known_field(std::string_view name);

/// Integrals over a rectangle at x by 14-point Gauss-Legendre panels of at most `panel_m`.
[[nodiscard]] ExactFlux integrate_known_field(const KnownField& field,
                                              double x_m,
                                              const Window& window,
                                              double panel_m = 0.2);

}  // namespace sweepflux::test
