#include "render/canvas/colours.hpp"

#include "render/canvas/cubic.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace sweepflux::render {
namespace {

constexpr std::size_t scale_steps = 1024;

double cube(double x) { return x * x * x; }

double luminance(Colour colour) {
  return 0.2126 * to_linear(colour.red) + 0.7152 * to_linear(colour.green) +
         0.0722 * to_linear(colour.blue);
}

/// A colour on light pages and on dark ones.
struct Pair {
  Perceived light;
  Perceived dark;

  [[nodiscard]] Colour in(Theme theme) const {
    return to_srgb(theme == Theme::light ? light : dark);
  }
};

// A hue of its own for each of fourteen fans; neighbours in the list differ in lightness by 0.14 or
// more, so that they stay apart in grey print and for colour-blind eyes.
constexpr std::array<Pair, 14> series_pairs{{
    {{0.40, 0.130, 262.0}, {0.70, 0.120, 262.0}},
    {{0.62, 0.140, 50.0}, {0.86, 0.090, 70.0}},
    {{0.46, 0.080, 170.0}, {0.68, 0.100, 170.0}},
    {{0.62, 0.160, 2.0}, {0.84, 0.090, 2.0}},
    {{0.40, 0.130, 310.0}, {0.68, 0.130, 310.0}},
    {{0.58, 0.105, 105.0}, {0.90, 0.100, 105.0}},
    {{0.40, 0.085, 230.0}, {0.70, 0.100, 230.0}},
    {{0.63, 0.130, 145.0}, {0.88, 0.120, 145.0}},
    {{0.38, 0.110, 20.0}, {0.70, 0.130, 25.0}},
    {{0.60, 0.100, 200.0}, {0.87, 0.080, 200.0}},
    {{0.42, 0.100, 130.0}, {0.72, 0.120, 130.0}},
    {{0.62, 0.150, 335.0}, {0.84, 0.100, 335.0}},
    {{0.40, 0.080, 75.0}, {0.72, 0.090, 75.0}},
    {{0.60, 0.130, 285.0}, {0.86, 0.070, 285.0}},
}};

constexpr Pair ink_pair{{0.25, 0.02, 260.0}, {0.93, 0.008, 260.0}};
constexpr Pair muted_pair{{0.47, 0.02, 260.0}, {0.74, 0.015, 260.0}};
constexpr Pair rule_pair{{0.90, 0.006, 260.0}, {0.34, 0.012, 260.0}};

std::size_t wrap(int number, std::size_t count) {
  const int n = static_cast<int>(count);
  return static_cast<std::size_t>(((number % n) + n) % n);
}

}  // namespace

double to_linear(std::uint8_t channel) {
  const double c = channel / 255.0;
  return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
}

std::uint8_t from_linear(double light) {
  const double c = std::clamp(light, 0.0, 1.0);
  const double s = c <= 0.0031308 ? 12.92 * c : 1.055 * std::pow(c, 1.0 / 2.4) - 0.055;
  return static_cast<std::uint8_t>(std::lround(255.0 * s));
}

Colour to_srgb(Perceived wanted) {
  const double hue = wanted.hue_deg * std::numbers::pi / 180.0;
  const double a = wanted.chroma * std::cos(hue);
  const double b = wanted.chroma * std::sin(hue);
  const double l = cube(wanted.lightness + 0.3963377774 * a + 0.2158037573 * b);
  const double m = cube(wanted.lightness - 0.1055613458 * a - 0.0638541728 * b);
  const double s = cube(wanted.lightness - 0.0894841775 * a - 1.2914855480 * b);
  return {from_linear(4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s),
          from_linear(-1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s),
          from_linear(-0.0041960863 * l - 0.7034186147 * m + 1.7076147010 * s)};
}

double contrast(Colour a, Colour b) {
  const double p = luminance(a);
  const double q = luminance(b);
  return (std::max(p, q) + 0.05) / (std::min(p, q) + 0.05);
}

Colour readable_on(Colour background) {
  // Black and white cannot both fail: the worse case of the better one is sqrt(21) = 4.58.
  const Colour black{0, 0, 0};
  const Colour white{255, 255, 255};
  return contrast(background, white) >= contrast(background, black) ? white : black;
}

std::string hex(Colour colour) {
  constexpr std::string_view digits = "0123456789abcdef";
  std::string text = "#";
  for (const std::uint8_t channel : {colour.red, colour.green, colour.blue}) {
    text += digits[channel >> 4U];
    text += digits[channel & 15U];
  }
  return text;
}

ColourScale::ColourScale(double lightness_low,
                         double lightness_high,
                         std::span<const Anchor> anchors)
    : low_(lightness_low), high_(lightness_high) {
  std::vector<double> share;
  std::vector<double> chroma;
  std::vector<double> hue;
  for (const Anchor& anchor : anchors) {
    share.push_back(anchor.share);
    chroma.push_back(anchor.chroma);
    hue.push_back(anchor.hue_deg);
  }
  const Cubic chroma_at(share, chroma, Cubic::Slopes::monotone);
  const Cubic hue_at(share, hue, Cubic::Slopes::monotone);
  steps_.reserve(scale_steps);
  for (std::size_t i = 0; i < scale_steps; ++i) {
    const double t = static_cast<double>(i) / static_cast<double>(scale_steps - 1);
    steps_.push_back(to_srgb({lightness(t), chroma_at.at(t), hue_at.at(t)}));
  }
  beyond_ = to_srgb({std::max(0.0, std::min(low_, high_) - 0.16), 0.02, hue.back()});
}

double ColourScale::lightness(double share) const { return low_ + share * (high_ - low_); }

Colour ColourScale::at(double share) const {
  const double inside = share > 0.0 ? std::min(share, 1.0) : 0.0;
  return steps_[static_cast<std::size_t>(
      std::lround(inside * static_cast<double>(scale_steps - 1)))];
}

const ColourScale& speed_colours() {
  static constexpr std::array<ColourScale::Anchor, 5> anchors{{{0.0, 0.030, 190.0},
                                                               {0.25, 0.085, 222.0},
                                                               {0.5, 0.120, 275.0},
                                                               {0.75, 0.110, 342.0},
                                                               {1.0, 0.060, 402.0}}};
  static const ColourScale scale(0.965, 0.28, anchors);
  return scale;
}

const ColourScale& uncertainty_colours() {
  static constexpr std::array<ColourScale::Anchor, 4> anchors{
      {{0.0, 0.018, 74.0}, {0.35, 0.112, 74.0}, {0.65, 0.105, 74.0}, {1.0, 0.058, 74.0}}};
  static const ColourScale scale(0.97, 0.30, anchors);
  return scale;
}

Colour resolve(const Paint& paint, Theme theme) {
  switch (paint.tone) {
    case Tone::none:
    case Tone::paper:
      return theme == Theme::light ? Colour{255, 255, 255} : to_srgb({0.21, 0.012, 260.0});
    case Tone::fixed:
      return paint.colour;
    case Tone::ink:
      return ink_pair.in(theme);
    case Tone::muted:
      return muted_pair.in(theme);
    case Tone::rule:
      return rule_pair.in(theme);
    case Tone::series:
      return series_pairs[wrap(paint.series, series_pairs.size())].in(theme);
  }
  return {};
}

int series_colours() { return static_cast<int>(series_pairs.size()); }

std::string variable_name(const Paint& paint) {
  switch (paint.tone) {
    case Tone::ink:
      return "--sf-ink";
    case Tone::muted:
      return "--sf-muted";
    case Tone::rule:
      return "--sf-rule";
    case Tone::paper:
      return "--sf-paper";
    case Tone::series:
      return "--sf-series-" + std::to_string(wrap(paint.series, series_pairs.size()) + 1);
    case Tone::none:
    case Tone::fixed:
      break;
  }
  return {};
}

std::string theme_variables(Theme theme) {
  std::vector<Paint> paints{ink(), muted(), rule(), paper()};
  for (int i = 0; i < series_colours(); ++i) {
    paints.push_back(series(i));
  }
  std::string text;
  for (const Paint& paint : paints) {
    text += variable_name(paint) + ":" + hex(resolve(paint, theme)) + ";";
  }
  return text;
}

std::string theme_css() {
  return ":root{" + theme_variables(Theme::light) + "}\n@media (prefers-color-scheme:dark){:root{" +
         theme_variables(Theme::dark) + "}}\n";
}

LineStyle line_style(int number) {
  static const std::array<std::vector<double>, 5> dashes{
      {{}, {7, 3}, {1.5, 3}, {9, 3, 2, 3}, {14, 4}}};
  constexpr std::array<Marker, 6> markers{
      Marker::disc, Marker::square, Marker::triangle, Marker::diamond, Marker::ring, Marker::cross};
  return {
      series(number), dashes[wrap(number, dashes.size())], markers[wrap(number, markers.size())]};
}

}  // namespace sweepflux::render
