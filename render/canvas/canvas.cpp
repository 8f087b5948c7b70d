#include "render/canvas/canvas.hpp"

#include "render/canvas/text.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace sweepflux::render {

void Canvas::line(Point from, Point to, Stroke stroke) { polyline({from, to}, std::move(stroke)); }

void Canvas::polyline(std::vector<Point> points, Stroke stroke, std::string hover) {
  polylines({std::move(points)}, std::move(stroke), std::move(hover));
}

void Canvas::polylines(std::vector<std::vector<Point>> lines, Stroke stroke, std::string hover) {
  items.emplace_back(Path{std::move(lines), false, {}, std::move(stroke), std::move(hover)});
}

void Canvas::polygon(std::vector<Point> points, Paint fill, Stroke stroke, std::string hover) {
  items.emplace_back(Path{{std::move(points)}, true, fill, std::move(stroke), std::move(hover)});
}

void Canvas::box(const Box& box, Paint fill, Stroke stroke, std::string hover) {
  polygon(
      {{box.left, box.top}, {box.right, box.top}, {box.right, box.bottom}, {box.left, box.bottom}},
      fill,
      std::move(stroke),
      std::move(hover));
}

void Canvas::dot(Point centre, double radius, Paint fill, Stroke stroke, std::string hover) {
  items.emplace_back(Circle{centre, radius, fill, std::move(stroke), std::move(hover)});
}

void Canvas::picture(const Box& box, Image image, std::string hover) {
  std::string packed = png_base64(image);
  items.emplace_back(Picture{box, std::move(image), std::move(hover), std::move(packed)});
}

void Canvas::text(Text text) {
  text.words = clean_utf8(text.words);
  items.emplace_back(std::move(text));
}

void draw_marker(Canvas& canvas,
                 Marker marker,
                 Point at,
                 double size,
                 const Paint& paint,
                 const std::string& hover) {
  const double r = size / 2.0;
  const Stroke edge{paint, std::max(1.2, size / 5.0), {}};
  switch (marker) {
    case Marker::disc:
      canvas.dot(at, r, paint, {}, hover);
      break;
    case Marker::ring:
      canvas.dot(at, r - edge.width / 2.0, paper(), edge, hover);
      break;
    case Marker::square:
      canvas.box(
          {at.x - 0.9 * r, at.y - 0.9 * r, at.x + 0.9 * r, at.y + 0.9 * r}, paint, {}, hover);
      break;
    case Marker::triangle:
      canvas.polygon({{at.x, at.y - 1.15 * r},
                      {at.x + 1.1 * r, at.y + 0.8 * r},
                      {at.x - 1.1 * r, at.y + 0.8 * r}},
                     paint,
                     {},
                     hover);
      break;
    case Marker::diamond:
      canvas.polygon({{at.x, at.y - 1.25 * r},
                      {at.x + 1.25 * r, at.y},
                      {at.x, at.y + 1.25 * r},
                      {at.x - 1.25 * r, at.y}},
                     paint,
                     {},
                     hover);
      break;
    case Marker::cross:
      canvas.polylines({{{at.x - r, at.y - r}, {at.x + r, at.y + r}},
                        {{at.x - r, at.y + r}, {at.x + r, at.y - r}}},
                       edge,
                       hover);
      break;
  }
}

Box text_box(const Text& text) {
  // Heights of the font's letters, as shares of its size: ascender with accents and descender.
  constexpr double above = 0.80;
  constexpr double below = 0.24;
  const double width = text_width(text.words, text.size, text.bold);
  const double from = text.anchor == Anchor::start    ? 0.0
                      : text.anchor == Anchor::middle ? -width / 2.0
                                                      : -width;
  const double angle = text.turn_deg * std::numbers::pi / 180.0;
  const double c = std::cos(angle);
  const double s = std::sin(angle);
  Box box{1e300, 1e300, -1e300, -1e300};
  for (const double x : {from, from + width}) {
    for (const double y : {-above * text.size, below * text.size}) {
      const Point corner{text.at.x + c * x + s * y, text.at.y - s * x + c * y};
      box.left = std::min(box.left, corner.x);
      box.right = std::max(box.right, corner.x);
      box.top = std::min(box.top, corner.y);
      box.bottom = std::max(box.bottom, corner.y);
    }
  }
  return box;
}

}  // namespace sweepflux::render
