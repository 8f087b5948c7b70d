#pragma once

#include "render/charts/heat.hpp"

#include <string>
#include <vector>

namespace sweepflux::render {

/// Where the parts of a picture of coloured values stand.
struct HeatLayout {
  Panel panel;          ///< equal metres both ways
  Box bar;              ///< beside the panel, or under it when the panel is low
  double width = 0.0;   ///< of the canvas
  double bottom = 0.0;  ///< of axes and bar

  void move_down(double by);
};

struct HeatWords {
  std::string across;
  std::string up;
  std::string value;
};

/// Finds the largest panel that fits into `width`, very wide and very tall ones included; where
/// there is little width the bar stands under it. The panel's top is at zero; move_down puts
/// everything in place.
[[nodiscard]] HeatLayout lay_out_heat(
    Range across, Range up, const HeatWords& words, const HeatScale& scale, double width);

/// A stroke on a map: light under dark, so that it shows on any colour.
void cased_line(Canvas& canvas, const std::vector<std::vector<Point>>& lines, const Stroke& stroke);

/// Asks labels to keep away from lines.
void keep_clear(std::vector<Box>& quiet, const std::vector<std::vector<Point>>& lines);

/// The colour of such strokes.
[[nodiscard]] Colour mark_colour();

}  // namespace sweepflux::render
