#pragma once

namespace sweepflux {

/// A point of a plane across the stream, in the fan's frame: origin on the turntable's axis at
/// floor level, x downstream, z up, y to the right for someone who faces the fan. Right-handed.
struct PlanePoint {
  double y_m = 0.0;
  double z_m = 0.0;

  friend bool operator==(PlanePoint, PlanePoint) = default;
};

/// A rectangle of such a plane.
struct Window {
  double y_min_m = 0.0;
  double y_max_m = 0.0;
  double z_min_m = 0.0;
  double z_max_m = 0.0;

  [[nodiscard]] double width_m() const { return y_max_m - y_min_m; }
  [[nodiscard]] double height_m() const { return z_max_m - z_min_m; }
  [[nodiscard]] bool contains(PlanePoint p) const {
    return p.y_m >= y_min_m && p.y_m <= y_max_m && p.z_m >= z_min_m && p.z_m <= z_max_m;
  }
};

/// How the probe's place changes along a sweep: the fan turns before it, or it rides a rail.
enum class Motion { swivel, traverse };

}  // namespace sweepflux
