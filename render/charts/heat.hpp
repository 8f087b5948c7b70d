#pragma once

#include "render/charts/chart.hpp"
#include "render/charts/grid_field.hpp"

#include <functional>
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

/// What a heat panel turned out to hold; asked for by the legend.
struct HeatContent {
  bool unsupported = false;
  bool beyond = false;
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

/// Adds entries for what the panel holds.
void add_heat_legend(std::vector<LegendEntry>& entries,
                     const HeatContent& content,
                     const HeatScale& scale);

}  // namespace sweepflux::render
