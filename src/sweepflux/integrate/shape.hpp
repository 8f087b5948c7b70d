#pragma once

#include "sweepflux/base/geometry.hpp"
#include "sweepflux/integrate/plane_map.hpp"

namespace sweepflux {

/// Form of the stream in one plane.
struct StreamShape {
  double peak_speed_m_s = 0.0;
  PlanePoint peak;
  PlanePoint centre;            ///< centre of the momentum: weighted by speed squared
  double half_width_y_m = 0.0;  ///< half the distance between the outermost places where the
  double half_width_z_m = 0.0;  ///< profile through the centre falls to half its largest value
  bool peak_at_edge = false;    ///< the largest speed lies on the border of the map
  bool open_y = false;          ///< that profile does not fall to half inside the map, so the half
  bool open_z = false;          ///< width is what the map holds of it
};

/// Measures a map. Half widths interpolate linearly between cells.
[[nodiscard]] StreamShape measure_shape(const PlaneMap& map);

}  // namespace sweepflux
