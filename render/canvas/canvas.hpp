#pragma once

#include "render/canvas/colours.hpp"
#include "render/canvas/image.hpp"

#include <string>
#include <variant>
#include <vector>

namespace sweepflux::render {

/// A place on the canvas [px of 1/96 inch], x to the right, y down, from the top left.
struct Point {
  double x = 0.0;
  double y = 0.0;
};

struct Box {
  double left = 0.0;
  double top = 0.0;
  double right = 0.0;
  double bottom = 0.0;

  [[nodiscard]] double width() const { return right - left; }
  [[nodiscard]] double height() const { return bottom - top; }
  [[nodiscard]] bool contains(Point p) const {
    return p.x >= left && p.x <= right && p.y >= top && p.y <= bottom;
  }
  [[nodiscard]] bool overlaps(const Box& other) const {
    return left < other.right && other.left < right && top < other.bottom && other.top < bottom;
  }
  [[nodiscard]] Box grown(double by) const {
    return {left - by, top - by, right + by, bottom + by};
  }
};

struct Stroke {
  Paint paint = {};
  double width = 1.0;
  std::vector<double> dashes = {};  ///< on, off, ...; empty: solid
};

/// One or more polylines with one look.
struct Path {
  std::vector<std::vector<Point>> lines;
  bool closed = false;
  Paint fill;
  Stroke stroke;
  std::string hover;  ///< shown when a pointer rests on it; empty: nothing
};

struct Circle {
  Point centre;
  double radius = 1.0;
  Paint fill;
  Stroke stroke;
  std::string hover;
  /// With a hover text and neither fill nor stroke it is an area to rest a pointer on, never seen.
};

enum class Anchor { start, middle, end };

struct Text {
  Point at;  ///< on the baseline
  std::string words;
  double size = 14.0;
  Anchor anchor = Anchor::start;
  bool bold = false;
  double turn_deg = 0.0;  ///< counter-clockwise about `at`
  Paint paint = ink();
  /// The colour that it lies on when that is not the paper; drawn as a seam around the letters.
  Paint seam = {};
};

/// The same with a seam of the paper's colour, for texts over lines.
[[nodiscard]] inline Text on_paper(Text text) {
  text.seam = paper();
  return text;
}

/// Pixels stretched over a box, smoothed between pixels.
struct Picture {
  Box box;
  Image image;
  std::string hover;
  std::string packed;  ///< png_base64 of the image, or empty: then packed whenever it is written
};

/// From here to the next ClipEnd only what lies in the box is seen. Not nested.
struct ClipBegin {
  Box box;
};
struct ClipEnd {};

using Item = std::variant<Path, Circle, Text, Picture, ClipBegin, ClipEnd>;

/// A picture as a list of marks, in drawing order: written as SVG or as PNG, and looked at by
/// tests, from the same list.
struct Canvas {
  double width = 640.0;
  double height = 480.0;
  std::string title;        ///< for those who do not see it, and for the file
  std::string description;  ///< what there is to be seen, in words and numbers
  std::vector<Item> items;
  /// What a page shows of it: a page has headings, facts and remarks of its own, so those above and
  /// below stand only on the picture's own file.
  double page_top = 0.0;
  double page_bottom = 0.0;  ///< 0: down to the end

  void line(Point from, Point to, Stroke stroke);
  void polyline(std::vector<Point> points, Stroke stroke, std::string hover = {});
  /// With one look and one hover text.
  void polylines(std::vector<std::vector<Point>> lines, Stroke stroke, std::string hover = {});
  void polygon(std::vector<Point> points, Paint fill, Stroke stroke = {}, std::string hover = {});
  void box(const Box& box, Paint fill, Stroke stroke = {}, std::string hover = {});
  void dot(Point centre, double radius, Paint fill, Stroke stroke = {}, std::string hover = {});
  void text(Text text);
  /// Packs the image once, however often the canvas is written.
  ///
  /// @throws InputError  as encode_png
  void picture(const Box& box, Image image, std::string hover = {});
};

/// Widths that pictures are drawn for [px]: a file of its own, half a page, a phone or half a sheet
/// of paper. Letters are of one size in all of them.
inline constexpr double full_width = 680.0;
inline constexpr double half_width = 460.0;
inline constexpr double phone_width = 320.0;
/// Whether panels stand under each other and the colour bar under its map.
[[nodiscard]] inline bool is_slim(double width) { return width < 400.0; }

/// The smallest letters that any picture of ours uses [px].
inline constexpr double smallest_text = 13.0;
/// Of axis labels, captions and legends.
inline constexpr double plain_text = 14.0;
inline constexpr double title_text = 17.0;

/// A marker of a line family, about `size` across.
void draw_marker(Canvas& canvas,
                 Marker marker,
                 Point at,
                 double size,
                 const Paint& paint,
                 const std::string& hover = {});

/// Where the letters of a text lie, turned texts included.
[[nodiscard]] Box text_box(const Text& text);

}  // namespace sweepflux::render
