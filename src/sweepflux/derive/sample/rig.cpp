#include "sweepflux/derive/sample/rig.hpp"

#include <cmath>
#include <numbers>

namespace sweepflux {

ProbePlace place_probe(
    const Rig& rig, const Outlet& outlet, double distance_m, double height_m, double position) {
  if (rig.motion == Motion::traverse) {
    return {outlet.ahead_of_axis_m + distance_m, position, height_m, 0.0};
  }
  // The remainder lets a sweep run across +-180 degrees of the turntable's own scale.
  const double recorded = std::remainder(position - rig.angle_zero_rad, 2.0 * std::numbers::pi);
  const double turn = rig.clockwise ? -recorded : recorded;
  // "0.0 -" keeps a minus zero out of the results.
  return {distance_m * std::cos(turn), 0.0 - distance_m * std::sin(turn), height_m, turn};
}

OnPlane carry_to_plane(const ProbePlace& place, const Outlet& outlet, double downstream_m) {
  const double stretch = downstream_m / (place.x_m - outlet.ahead_of_axis_m);
  const double z0 = outlet.centre_height_m;
  return {{stretch * place.y_m, z0 + stretch * (place.z_m - z0)}, 1.0 / stretch};
}

double downstream_of_outlet_m(const Rig& rig, const Outlet& outlet, double distance_m) {
  return rig.motion == Motion::swivel ? distance_m - outlet.ahead_of_axis_m : distance_m;
}

}  // namespace sweepflux
