#pragma once

#include "render/charts/heat.hpp"

#include <optional>
#include <vector>

namespace sweepflux::render {

/// A cut through one plane: upright for a view from the side, level for a view from above.
struct StreamStation {
  double x_m = 0.0;               ///< downstream
  std::vector<double> at_m;       ///< rising, two or more
  std::vector<double> speed_m_s;  ///< as many
  std::vector<double> support;    ///< as many, or empty
  double centre_m = 0.0;
  double half_width_m = 0.0;  ///< 0: not known
};

struct StreamViewInput : PictureWords {
  bool from_above = false;              ///< x and y, which then points up the page; no floor
  std::vector<StreamStation> stations;  ///< any order; two or more, no two at one x
  std::optional<HeatScale> scale;
  double outlet_x_m = 0.0;
  double outlet_centre_m = 0.0;
  double outlet_half_m = 0.0;     ///< 0: not drawn
  std::optional<double> floor_m;  ///< view from the side only
};

/// The stream along its way, equal metres both ways: speed between the planes goes over from one
/// to the next at the same share of the half width from the centre line, and nothing is drawn
/// before the first plane or after the last.
///
/// @throws InputError  fewer than two stations, or lists that do not fit
[[nodiscard]] Canvas draw_stream_view(const StreamViewInput& input);

/// Speed between stations as above, for x from the first to the last.
[[nodiscard]] GridField blend_stations(std::vector<StreamStation> stations,
                                       std::size_t columns,
                                       std::size_t rows);

}  // namespace sweepflux::render
