#pragma once

#include "render/canvas/axes.hpp"
#include "render/charts/grid_field.hpp"

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
  /// For what lies above the scale's high end.
  [[nodiscard]] Colour beyond_colour() const;
  /// Above the scale's high end, infinity included.
  [[nodiscard]] bool beyond(double value) const;
};

/// Pixels of a coloured image to a px of the canvas; such images are smooth anyway.
inline constexpr double raster_pixels_per_px = 1.5;

/// A scale for values from the range of several fields, rounded outwards, starting at zero unless
/// a value lies below it.
[[nodiscard]] HeatScale make_scale(Palette palette, Range values);

/// Range of the finite values of cells that a sweep supports.
/// @return nothing when there is no such cell
[[nodiscard]] std::optional<Range> supported_range(const GridField& field);

/// A level as it is written at contours and at the bar.
[[nodiscard]] std::string level_text(const HeatScale& scale, double level);

/// The colour bar with its ticks and, above it, what it shows; `beyond` adds an end piece.
/// @param whole  the bar with its end piece; upright when taller than wide
void draw_colour_bar(
    Canvas& canvas, const Box& box, const HeatScale& scale, const std::string& title, bool beyond);

/// How far labels extend to the right of an upright bar, or below a level one [px].
[[nodiscard]] double bar_label_room(const HeatScale& scale, bool upright);

}  // namespace sweepflux::render
