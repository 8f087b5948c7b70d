#include "render/canvas/theme.hpp"

#include <array>
#include <cstddef>

namespace sweepflux::render {
namespace {

// A hue of its own for each of fourteen fans; neighbours in the list differ in lightness by 0.14 or
// more, so that they stay apart in grey print and for colour-blind eyes.
constexpr std::array<Perceived, 14> light_series{{{0.40, 0.130, 262.0},
                                                  {0.62, 0.140, 50.0},
                                                  {0.46, 0.080, 170.0},
                                                  {0.62, 0.160, 2.0},
                                                  {0.40, 0.130, 310.0},
                                                  {0.58, 0.105, 105.0},
                                                  {0.40, 0.085, 230.0},
                                                  {0.63, 0.130, 145.0},
                                                  {0.38, 0.110, 20.0},
                                                  {0.60, 0.100, 200.0},
                                                  {0.42, 0.100, 130.0},
                                                  {0.62, 0.150, 335.0},
                                                  {0.40, 0.080, 75.0},
                                                  {0.60, 0.130, 285.0}}};
constexpr std::array<Perceived, 14> dark_series{{{0.70, 0.120, 262.0},
                                                 {0.86, 0.090, 70.0},
                                                 {0.68, 0.100, 170.0},
                                                 {0.84, 0.090, 2.0},
                                                 {0.68, 0.130, 310.0},
                                                 {0.90, 0.100, 105.0},
                                                 {0.70, 0.100, 230.0},
                                                 {0.88, 0.120, 145.0},
                                                 {0.70, 0.130, 25.0},
                                                 {0.87, 0.080, 200.0},
                                                 {0.72, 0.120, 130.0},
                                                 {0.84, 0.100, 335.0},
                                                 {0.72, 0.090, 75.0},
                                                 {0.86, 0.070, 285.0}}};

std::size_t wrap(int number, std::size_t count) {
  const int n = static_cast<int>(count);
  return static_cast<std::size_t>(((number % n) + n) % n);
}

std::string variables(Theme theme) {
  std::string text;
  const auto add = [&text, theme](const Paint& paint) {
    text += variable_name(paint) + ":" + hex(resolve(paint, theme)) + ";";
  };
  for (const Paint& paint : {ink(), muted(), rule(), paper()}) {
    add(paint);
  }
  for (int i = 0; i < series_colours(); ++i) {
    add(series(i));
  }
  return text;
}

}  // namespace

Colour resolve(const Paint& paint, Theme theme) {
  const bool light = theme == Theme::light;
  switch (paint.tone) {
    case Tone::none:
    case Tone::paper:
      return light ? Colour{255, 255, 255} : to_srgb({0.21, 0.012, 260.0});
    case Tone::fixed:
      return paint.colour;
    case Tone::ink:
      return to_srgb(light ? Perceived{0.25, 0.02, 260.0} : Perceived{0.93, 0.008, 260.0});
    case Tone::muted:
      return to_srgb(light ? Perceived{0.47, 0.02, 260.0} : Perceived{0.74, 0.015, 260.0});
    case Tone::rule:
      return to_srgb(light ? Perceived{0.90, 0.006, 260.0} : Perceived{0.34, 0.012, 260.0});
    case Tone::series:
      return to_srgb(light ? light_series[wrap(paint.series, light_series.size())]
                           : dark_series[wrap(paint.series, dark_series.size())]);
  }
  return {};
}

int series_colours() { return static_cast<int>(light_series.size()); }

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
      return "--sf-series-" + std::to_string(wrap(paint.series, light_series.size()) + 1);
    case Tone::none:
    case Tone::fixed:
      break;
  }
  return {};
}

std::string theme_css() {
  return ":root{" + variables(Theme::light) + "}\n@media (prefers-color-scheme:dark){:root{" +
         variables(Theme::dark) + "}}\n";
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
