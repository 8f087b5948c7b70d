#pragma once

#include "render/canvas/colours.hpp"

#include <cmath>
#include <numbers>

/// How an eye sees the colours of pictures, the other way round than the library computes them.
namespace sweepflux::render {

struct Lab {
  double lightness;
  double a;
  double b;
};

// The two matrices of OKLab [Ottosson 2020].
inline Lab to_lab(Colour colour) {
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

inline Perceived perceive(Colour colour) {
  const Lab lab = to_lab(colour);
  double hue = std::atan2(lab.b, lab.a) * 180.0 / std::numbers::pi;
  if (hue < 0.0) {
    hue += 360.0;
  }
  return {lab.lightness, std::hypot(lab.a, lab.b), hue};
}

/// Straight-line distance in OKLab [-]; about 0.02 is just noticeable side by side.
inline double colour_distance(Colour a, Colour b) {
  const Lab p = to_lab(a);
  const Lab q = to_lab(b);
  return std::hypot(p.lightness - q.lightness, p.a - q.a, p.b - q.b);
}

}  // namespace sweepflux::render
