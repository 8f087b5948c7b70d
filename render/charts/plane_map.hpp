#pragma once

#include "render/charts/grid_field.hpp"
#include "render/charts/heat.hpp"
#include "sweepflux/base/geometry.hpp"

#include <optional>
#include <string>
#include <vector>

namespace sweepflux::render {

/// A place where the probe stood.
struct ReadingDot {
  PlanePoint at;
  double speed_m_s = 0.0;    ///< shown to a resting pointer
  bool below_start = false;  ///< under the probe's starting speed
};

struct OutletOutline {
  bool round = true;
  PlanePoint centre;
  double half_width_m = 0.0;
  double half_height_m = 0.0;
};

/// What a map of one plane shows. All lengths in metres, seen by someone who faces the fan: y to
/// the right, z up.
struct PlaneMapInput : PictureWords {
  GridField field;       ///< across: y, up: z
  Palette palette = Palette::speed;
  std::string value_title = "speed [m/s]";
  std::optional<HeatScale> scale;  ///< for planes to be compared; else made from this field
  std::vector<ReadingDot> readings;
  std::optional<OutletOutline> outlet;
  std::optional<PlanePoint> centre;
  std::optional<double> floor_m;   ///< no flow under it
  std::vector<std::string> facts;  ///< for the caption: "peak 3.9 m/s", "flow ..."
  /// What the picture covers, for planes drawn at equal metres; else the field's own extent.
  std::optional<Range> across, up;
};

/// Draws it: values coloured and contoured over equal metres, readings as fine dots where they
/// were taken, outlet's outline, centre of the stream, floor, and what no sweep supports.
///
/// @throws InputError  sizes of the field do not fit
[[nodiscard]] Canvas draw_plane_map(const PlaneMapInput& input);

}  // namespace sweepflux::render
