#pragma once

#include "render/canvas/axes.hpp"
#include "render/canvas/canvas.hpp"

#include <functional>
#include <string>
#include <vector>

namespace sweepflux::render {

/// The words around any picture, and its width.
struct PictureWords {
  std::string title = {};
  std::string subtitle = {};
  std::string remark = {};  ///< under the picture
  double width = full_width;
};

/// A canvas of that width, described by `description` and the remark.
[[nodiscard]] inline Canvas canvas_for(const PictureWords& words, const std::string& description) {
  Canvas canvas;
  canvas.width = words.width;
  canvas.description = description + words.remark;
  return canvas;
}

/// Room around everything on a canvas [px]; a page has its own around its pictures.
[[nodiscard]] inline double margin(const Canvas& canvas) {
  return canvas.width <= half_width ? 4.0 : 16.0;
}

/// Title (bold, at most two lines) and a line or two under it, from the top left.
/// Sets the canvas's title when it has none; a page shows what follows, Canvas::page_top.
/// @return where the next thing may start (y)
double draw_heading(Canvas& canvas, const PictureWords& words);

/// One entry of a legend: a sample drawn into a box of legend_sample size, and words; without a
/// sample words alone.
struct LegendEntry {
  std::function<void(Canvas&, const Box&)> sample;
  std::string words;
};
inline constexpr double legend_sample_width = 30.0;
inline constexpr double legend_sample_height = 14.0;

/// Legend and paragraphs under everything else; sets the canvas's height to fit. A page shows the
/// legend and has words of its own in place of the paragraphs, Canvas::page_bottom.
void draw_foot(Canvas& canvas,
               const std::vector<LegendEntry>& entries,
               const std::vector<std::string>& paragraphs,
               double top);

/// Facts in one line, as long as they fit: "peak 3.9 m/s · flow ...".
[[nodiscard]] std::string join_facts(const std::vector<std::string>& facts);

[[nodiscard]] inline Point middle_of(const Box& box) {
  return {0.5 * (box.left + box.right), 0.5 * (box.top + box.bottom)};
}

/// Ready-made samples: a line, with a marker where one is asked for; three marks in a row; a filled
/// box; an error bar.
[[nodiscard]] LegendEntry line_entry(const LineStyle& style,
                                     double width,
                                     std::string words,
                                     bool marked = false);
[[nodiscard]] LegendEntry marks_entry(std::function<void(Canvas&, Point)> mark, std::string words);
[[nodiscard]] LegendEntry band_entry(const Paint& fill, std::string words);
[[nodiscard]] LegendEntry interval_entry(std::string words, bool level = false);

/// A vertical (or level) error bar with end caps; drawn under the marker. Without an interval
/// (low == high) nothing is drawn.
void draw_error_bar(Canvas& canvas, Point low, Point high, const Paint& paint, double cap = 4.0);

/// The area between two lines over the same x.
void draw_band(Canvas& canvas,
               const std::vector<Point>& low,
               const std::vector<Point>& high,
               const Paint& fill);

/// Where intervals stand that must not touch each other: the first slot, counted from 0, that those
/// before leave free for it.
[[nodiscard]] std::vector<std::size_t> free_slots(const std::vector<Range>& intervals);

}  // namespace sweepflux::render
