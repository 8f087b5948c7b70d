#pragma once

#include "render/axes.hpp"
#include "render/chart.hpp"
#include "render/grid_field.hpp"

#include <optional>
#include <string>
#include <vector>

namespace sweepflux::render {

/// Which family of colours shows a value.
enum class Palette { speed, uncertainty };

/// How values become colours: the ends of the scale and the levels of the contours.
struct HeatScale {
  Palette palette = Palette::speed;
  Range range;                 ///< low == high: one value everywhere, one colour
  std::vector<double> levels;  ///< rising; contours and ticks of the colour bar

  [[nodiscard]] bool one_valued() const { return !(range.high > range.low); }
  [[nodiscard]] Colour colour(double value) const;
  /// Above the scale's high end, infinity included.
  [[nodiscard]] bool beyond(double value) const;
};

/// A scale for values from the range of several fields, rounded outwards, starting at zero unless
/// a value lies below it.
[[nodiscard]] HeatScale make_scale(Palette palette, Range values);

/// Range of the finite values of cells that a sweep supports.
/// @return nothing when there is no such cell
[[nodiscard]] std::optional<Range> supported_range(const GridField& field);

/// What a heat panel turned out to hold; asked for by the legend.
struct HeatContent {
  bool unsupported = false;
  bool beyond = false;
  bool below_floor = false;
};

/// Fills a panel with a field: colours (faded where no sweep supports them), contours with labels,
/// hatching over what is not supported or not measured, and a solid bed under the floor.
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

/// The colour bar with its ticks and, above it, what it shows; `beyond` adds an end piece.
/// @param whole  the bar with its end piece; upright when taller than wide
void draw_colour_bar(
    Canvas& canvas, const Box& box, const HeatScale& scale, const std::string& title, bool beyond);

/// How far labels reach to the right of an upright bar, or below a level one [px].
[[nodiscard]] double bar_label_room(const HeatScale& scale, bool upright);

/// Entries for what the panel holds.
[[nodiscard]] std::vector<LegendEntry> heat_legend(const HeatContent& content,
                                                   const HeatScale& scale);

}  // namespace sweepflux::render
