#pragma once

#include "sweepflux/base/geometry.hpp"
#include "sweepflux/capture/survey/survey.hpp"

#include <utility>
#include <vector>

namespace sweepflux {

/// Turns what the probe shows into what the air does, by its calibration table: straight lines
/// between the pairs, the end pieces prolonged. No table: the indication is the speed.
class Calibration {
 public:
  /// @param pairs  (true, indicated) [m/s], as in Probe; empty or at least two
  /// @throws InputError  one pair alone, or true or indicated values that do not rise
  explicit Calibration(std::vector<std::pair<double, double>> pairs);

  /// Speed [m/s]. A probe that shows no reversal is never turned into one: >= 0 for >= 0.
  [[nodiscard]] double speed_m_s(double indicated_m_s) const;

  /// Change of speed by change of indication, > 0.
  [[nodiscard]] double slope(double indicated_m_s) const;

 private:
  [[nodiscard]] std::size_t piece(double indicated_m_s) const;

  std::vector<std::pair<double, double>> pairs_;
};

/// Axial speed / speed along the probe, for flow along the fan's axis: 1 / cos(yaw) for a cosine
/// response, 1 for a flat one.
///
/// The flow is taken as parallel to the fan's axis on purpose: entrainment turns the core's flow
/// by half of the ray's angle only and the flow of the outer region inwards, so dividing by the cosine of the
/// ray's angle does worse (tests/derive/samples_test.cpp).
[[nodiscard]] double yaw_correction(Response response, double yaw_rad);

/// Whether a corrected speed is too low for the probe to tell. Never when no starting speed is
/// given; a reversal stronger than the starting speed is a reading.
[[nodiscard]] bool below_start(const Probe& probe, double speed_m_s);

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
