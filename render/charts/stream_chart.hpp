#pragma once

#include "render/charts/chart.hpp"
#include "sweepflux/base/measured.hpp"

#include <optional>
#include <string>
#include <vector>

namespace sweepflux::render {

/// What one plane contributes.
struct StreamPoint {
  double distance_m = 0.0;
  Estimate volume_flow_m3_s;
  Estimate momentum_flux_n;
};

struct StreamChartInput : PictureWords {
  std::vector<StreamPoint> points;
  std::optional<Estimate> thrust_n;  ///< as a band across the momentum flux
  std::string distance_title = "distance from the turntable's axis [m]";
};

/// "Along the stream": volume flow and, under it, momentum flux against distance, from zero, with
/// error bars for the 95 % intervals. A value that is not a number is not drawn.
///
/// @throws InputError  there is no point
[[nodiscard]] Canvas draw_stream_chart(const StreamChartInput& input);

}  // namespace sweepflux::render
