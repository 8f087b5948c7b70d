#pragma once

#include "render/canvas/colours.hpp"

#include <string>
#include <vector>

namespace sweepflux::render {

/// What a mark means for the page it lies on. A picture in a page follows the page's light or dark
/// theme; `fixed` does not (marks on a coloured map).
enum class Tone { none, fixed, ink, muted, rule, paper, series };

/// A colour by its meaning, and how much of it.
struct Paint {
  Tone tone = Tone::none;
  int series = 0;  ///< Tone::series: counts from 0, any number
  Colour colour;   ///< Tone::fixed
  double opacity = 1.0;

  [[nodiscard]] bool visible() const { return tone != Tone::none && opacity > 0.0; }
};

[[nodiscard]] inline Paint ink(double opacity = 1.0) { return {Tone::ink, 0, {}, opacity}; }
[[nodiscard]] inline Paint muted(double opacity = 1.0) { return {Tone::muted, 0, {}, opacity}; }
[[nodiscard]] inline Paint rule() { return {Tone::rule, 0, {}, 1.0}; }
[[nodiscard]] inline Paint paper(double opacity = 1.0) { return {Tone::paper, 0, {}, opacity}; }
[[nodiscard]] inline Paint fixed(Colour colour, double opacity = 1.0) {
  return {Tone::fixed, 0, colour, opacity};
}
[[nodiscard]] inline Paint series(int number, double opacity = 1.0) {
  return {Tone::series, number, {}, opacity};
}

enum class Theme { light, dark };

/// The colour behind a meaning. Text tones (ink, muted) have contrast >= 4.5 against paper,
/// series >= 3 [WCAG 2.1, 1.4.11].
[[nodiscard]] Colour resolve(const Paint& paint, Theme theme = Theme::light);

/// How many series colours there are before they repeat.
[[nodiscard]] int series_colours();

/// What a style variable of a page is called: "--sf-ink", "--sf-series-2"; empty for fixed, none.
[[nodiscard]] std::string variable_name(const Paint& paint);

/// CSS rules that set all variables for light pages and, by the reader's wish, for dark ones.
/// Put it once into a page that holds embedded pictures.
[[nodiscard]] std::string theme_css();

enum class Marker { disc, square, triangle, diamond, ring, cross };

/// How one line of a family looks: colour, dashes and marker all differ, so that lines are
/// distinguished without colour too. Repeats after the least common multiple of the three, 30
/// lines.
struct LineStyle {
  Paint paint;
  std::vector<double> dashes;  ///< [px] on, off, ...; empty: solid
  Marker marker = Marker::disc;
};

[[nodiscard]] LineStyle line_style(int number);

}  // namespace sweepflux::render
