#pragma once

#include "render/canvas/axes.hpp"
#include "render/charts/plot.hpp"
#include "render/charts/profiles.hpp"

#include <vector>

namespace sweepflux::render {

/// The interval of each line's peak as a bar at the panel's right end, on the leader to its name:
/// in place of bands where those would hide each other. Bars that would touch stand side by side.
void draw_peak_bars(Canvas& canvas, const Panel& panel, const std::vector<ProfileLine>& lines);

/// Each name, once, at the height of its line's peak.
[[nodiscard]] std::vector<SideName> peak_names(const Panel& panel,
                                               const std::vector<ProfileLine>& lines);

}  // namespace sweepflux::render
