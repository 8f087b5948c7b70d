#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

namespace sweepflux::render {

/// A colour as a screen shows it: sRGB [IEC 61966-2-1], 0 to 255.
struct Colour {
  std::uint8_t red = 0;
  std::uint8_t green = 0;
  std::uint8_t blue = 0;

  friend bool operator==(Colour, Colour) = default;
};

/// A colour as an eye judges it: OKLCh [Ottosson 2020].
struct Perceived {
  double lightness = 0.0;  ///< 0 black to 1 white
  double chroma = 0.0;     ///< 0 grey; what sRGB can show depends on the other two
  double hue_deg = 0.0;
};

/// The nearest sRGB colour; outside the gamut each channel is clipped.
[[nodiscard]] Colour to_srgb(Perceived wanted);
/// Linear light of a channel, 0 to 1, and back.
[[nodiscard]] double to_linear(std::uint8_t channel);
[[nodiscard]] std::uint8_t from_linear(double light);

/// Contrast ratio, 1 to 21 [WCAG 2.1, 1.4.3]; 4.5 is enough for small text.
[[nodiscard]] double contrast(Colour a, Colour b);
/// Near-black or white, whichever reads better on `background`; contrast is at least 4.5.
[[nodiscard]] Colour readable_on(Colour background);
/// "#1a2b3c"
[[nodiscard]] std::string hex(Colour colour);

/// Colours from few (share 0) to many (share 1). Lightness falls along a straight line, so that
/// equal steps look equal, also printed in grey and to colour-blind eyes.
class ColourScale {
 public:
  struct Anchor {
    double share = 0.0;
    double chroma = 0.0;
    double hue_deg = 0.0;
  };
  /// @param anchors  two or more, shares rising from 0 to 1; between them chroma and hue run along
  ///                 a monotone cubic
  ColourScale(double lightness_low, double lightness_high, std::span<const Anchor> anchors);

  /// @param share  clamped to 0 ... 1; not-a-number gives the low end
  [[nodiscard]] Colour at(double share) const;
  /// A colour off the scale, darker than its high end: for what lies above it.
  [[nodiscard]] Colour beyond() const { return beyond_; }
  /// The lightness that a share is meant to have.
  [[nodiscard]] double lightness(double share) const;

 private:
  double low_ = 0.0;
  double high_ = 1.0;
  std::vector<Colour> steps_;
  Colour beyond_;
};

/// For speed: pale green-blue over blue, violet and plum to dark umber. Two thirds of the hue
/// circle, so that no part of it is taken for a scale of two hues.
[[nodiscard]] const ColourScale& speed_colours();
/// For uncertainty: one hue, pale to dark ochre, so that it is never taken for a speed.
[[nodiscard]] const ColourScale& uncertainty_colours();

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

/// Their values in one theme, as CSS.
[[nodiscard]] std::string theme_variables(Theme theme);

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
