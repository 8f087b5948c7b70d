#include "render/canvas/colours.hpp"

#include "render/canvas/cubic.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace sweepflux::render {
namespace {

constexpr std::size_t scale_steps = 1024;

struct Lab {
  double lightness;
  double a;
  double b;
};

// The two matrices of OKLab [Ottosson 2020].
Lab to_lab(Colour colour) {
  const double r = to_linear(colour.red);
  const double g = to_linear(colour.green);
  const double b = to_linear(colour.blue);
  const double l = std::cbrt(0.4122214708 * r + 0.5363325363 * g + 0.0514459929 * b);
  const double m = std::cbrt(0.2119034982 * r + 0.6806995451 * g + 0.1073969566 * b);
  const double s = std::cbrt(0.0883024619 * r + 0.2817188376 * g + 0.6299787005 * b);
  return {0.2104542553 * l + 0.7936177850 * m - 0.0040720468 * s,
          1.9779984951 * l - 2.4285922050 * m + 0.4505937099 * s,
          0.0259040371 * l + 0.7827717662 * m - 0.8086757660 * s};
}

double cube(double x) { return x * x * x; }

double luminance(Colour colour) {
  return 0.2126 * to_linear(colour.red) + 0.7152 * to_linear(colour.green) +
         0.0722 * to_linear(colour.blue);
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

Perceived perceive(Colour colour) {
  const Lab lab = to_lab(colour);
  double hue = std::atan2(lab.b, lab.a) * 180.0 / std::numbers::pi;
  if (hue < 0.0) {
    hue += 360.0;
  }
  return {lab.lightness, std::hypot(lab.a, lab.b), hue};
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

double colour_distance(Colour a, Colour b) {
  const Lab p = to_lab(a);
  const Lab q = to_lab(b);
  return std::hypot(p.lightness - q.lightness, p.a - q.a, p.b - q.b);
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

Colour blend(Colour bottom, Colour top, double share) {
  const auto mix = [share](std::uint8_t from, std::uint8_t to) {
    return static_cast<std::uint8_t>(std::lround(from + share * (to - from)));
  };
  return {mix(bottom.red, top.red), mix(bottom.green, top.green), mix(bottom.blue, top.blue)};
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

}  // namespace sweepflux::render
