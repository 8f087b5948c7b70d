#pragma once

#include "render/charts/chart.hpp"
#include "render/charts/grid_field.hpp"
#include "render/charts/heat_scale.hpp"

#include <functional>
#include <optional>
#include <vector>

namespace sweepflux::render {

/// What a heat panel turned out to hold; asked for by the legend.
struct HeatContent {
  bool unsupported = false;
  bool beyond = false;
  bool below_floor = false;
};

/// Fills a panel with a field: colours (faded where no sweep supports them), contours with labels,
/// hatching over what is not supported or not measured, a fine line around a field that
/// does not fill the panel, and a solid bed under the floor.
///
/// @param quiet  places that labels of contours keep away from
HeatContent draw_heat(Canvas& canvas,
                      const Panel& panel,
                      const GridField& field,
                      const HeatScale& scale,
                      std::optional<double> floor,
                      const std::vector<Box>& quiet);

/// Slanted lines over the parts of a box for which `inside` holds.
void draw_hatching(Canvas& canvas,
                   const Box& box,
                   const std::function<bool(Point)>& inside,
                   const Paint& paint);

/// Entries for what the panel holds.
[[nodiscard]] std::vector<LegendEntry> heat_legend(const HeatContent& content,
                                                   const HeatScale& scale);

}  // namespace sweepflux::render
