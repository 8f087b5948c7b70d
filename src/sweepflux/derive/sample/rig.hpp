#pragma once

#include "sweepflux/base/geometry.hpp"
#include "sweepflux/capture/survey/survey.hpp"

namespace sweepflux {

/// Where the probe stands in the fan's frame, and how its axis lies.
struct ProbePlace {
  double x_m = 0.0;  ///< downstream of the turntable's axis
  double y_m = 0.0;
  double z_m = 0.0;
  double yaw_rad = 0.0;  ///< between the probe's axis and the fan's axis; 0 for a traverse
};

/// Rig's coordinates to the fan's frame.
///
/// Swivel: the turn phi is the recorded angle minus `angle_zero`, brought into (-pi, pi],
/// counter-clockwise seen from above (`clockwise` flips it). The fan turns and the probe stays, so
/// the fan's frame sees the probe at x = D cos phi, y = -D sin phi.
/// Traverse: x = `ahead_of_axis` + distance, y = the recorded position; no angle enters.
///
/// @param distance_m  as in Sweep: swivel from the axis, traverse from the outlet's plane
/// @param position    as in Reading: angle [rad] or across [m]
[[nodiscard]] ProbePlace place_probe(
    const Rig& rig, const Outlet& outlet, double distance_m, double height_m, double position);

/// A place on the plane, and the factor by which the stream weakens from where the probe stood to
/// there.
struct OnPlane {
  PlanePoint at;
  double weakening = 1.0;  ///< axial speed on the plane / axial speed at the probe
};

/// Carries a place to a plane across the stream along the ray from the outlet's centre: in a
/// stream that spreads like a cone the speed along a ray falls as one over the distance. With x
/// counted from the outlet and s = downstream_m / x: y' = s y, z' = z0 + s (z - z0), u' = u / s.
///
/// @param downstream_m  from the outlet's plane to the plane, > 0; the place must lie downstream
/// too
///
/// Accuracy: a centred round jet, swept over an arc at 1.8 m, keeps its flow within 0.4 % and its
/// momentum within 0.1 % (tests/derive/samples_test.cpp).
[[nodiscard]] OnPlane carry_to_plane(const ProbePlace& place,
                                     const Outlet& outlet,
                                     double downstream_m);

/// From the outlet's plane to the plane of a sweep: swivel D - ahead_of_axis, traverse D [m].
[[nodiscard]] double downstream_of_outlet_m(const Rig& rig,
                                            const Outlet& outlet,
                                            double distance_m);

}  // namespace sweepflux
