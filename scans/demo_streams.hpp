#pragma once

#include <functional>

namespace sweepflux::demo {

/// Velocity in the fan's frame; x counts from the outlet's plane, y and z from its centre.
struct Velocity {
  double u_m_s = 0.0;
  double v_m_s = 0.0;
  double w_m_s = 0.0;
};

/// An invented stream; air is neither made nor lost anywhere in it.
using Stream = std::function<Velocity(double x_m, double y_m, double z_m)>;

/// The stream of a round axial fan: flat with a dip behind the hub at first, then filling and
/// turning Gaussian on its way. The mean flow carries a little less momentum than the thrust; the
/// rest is turbulence and, further out, what the room takes.
struct RoundFan {
  double thrust_over_density_m4_s2 = 0.0;
  double outlet_radius_m = 0.0;
  double spread = 0.085;          ///< growth of the half width [-]
  double hub_dip = 0.0;           ///< of the speed on the axis at the outlet, 0 to 1
  double dip_fills_over_m = 1.0;  ///< distance over which the dip falls to 1/e
  double drift_right = 0.0;       ///< slope of the axis to the right [-]
  double drift_up = 0.0;          ///< slope of the axis upwards [-]
};
[[nodiscard]] Stream round_stream(const RoundFan& fan);

/// The stream of a tower fan: a tall slot, growing across like a plane jet and eaten at its ends.
struct TowerFan {
  double thrust_over_density_m4_s2 = 0.0;
  double half_height_m = 0.0;
  double spread = 0.1;
};
[[nodiscard]] Stream tower_stream(const TowerFan& fan);

}  // namespace sweepflux::demo
