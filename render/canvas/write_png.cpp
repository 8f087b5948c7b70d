#include "render/canvas/write_png.hpp"

#include "render/canvas/text.hpp"
#include "sweepflux/base/error.hpp"

#include <cairo.h>

#include <cmath>
#include <memory>
#include <numbers>

namespace sweepflux::render {
namespace {

template <auto destroy>
struct Free {
  template <typename Thing>
  void operator()(Thing* thing) const {
    destroy(thing);
  }
};
using Surface = std::unique_ptr<cairo_surface_t, Free<cairo_surface_destroy>>;
using Pen = std::unique_ptr<cairo_t, Free<cairo_destroy>>;
using Face = std::unique_ptr<cairo_font_face_t, Free<cairo_font_face_destroy>>;
using Font = std::unique_ptr<cairo_scaled_font_t, Free<cairo_scaled_font_destroy>>;
using FontOptions = std::unique_ptr<cairo_font_options_t, Free<cairo_font_options_destroy>>;

FontOptions plain_options() {
  FontOptions options(cairo_font_options_create());
  // No hinting: the same shapes at any size, and widths that add up.
  cairo_font_options_set_hint_style(options.get(), CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options.get(), CAIRO_HINT_METRICS_OFF);
  cairo_font_options_set_antialias(options.get(), CAIRO_ANTIALIAS_GRAY);
  return options;
}

Font make_font(bool bold) {
  const Face face(
      cairo_toy_font_face_create(font_family,
                                 CAIRO_FONT_SLANT_NORMAL,
                                 bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL));
  cairo_matrix_t size;
  cairo_matrix_t page;
  cairo_matrix_init_scale(&size, 100.0, 100.0);
  cairo_matrix_init_identity(&page);
  const FontOptions options = plain_options();
  Font font(cairo_scaled_font_create(face.get(), &size, &page, options.get()));
  cairo_text_extents_t extents;
  cairo_scaled_font_text_extents(font.get(), "M", &extents);
  if (cairo_scaled_font_status(font.get()) != CAIRO_STATUS_SUCCESS || !(extents.x_advance > 0.0)) {
    throw SystemError("no font to write with; install the package fonts-dejavu-core");
  }
  return font;
}

class Drawing {
 public:
  Drawing(cairo_t* pen) : pen_(pen) {}

  void operator()(const Path& path) const {
    for (const std::vector<Point>& line : path.lines) {
      bool first = true;
      for (const Point p : line) {
        first ? cairo_move_to(pen_, p.x, p.y) : cairo_line_to(pen_, p.x, p.y);
        first = false;
      }
      if (path.closed) {
        cairo_close_path(pen_);
      }
    }
    fill_and_stroke(path.fill, path.stroke);
  }

  void operator()(const Circle& circle) const {
    cairo_new_sub_path(pen_);
    cairo_arc(pen_, circle.centre.x, circle.centre.y, circle.radius, 0.0, 2.0 * std::numbers::pi);
    fill_and_stroke(circle.fill, circle.stroke);
  }

  void operator()(const Text& text) const {
    cairo_save(pen_);
    cairo_select_font_face(pen_,
                           font_family,
                           CAIRO_FONT_SLANT_NORMAL,
                           text.bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
    cairo_set_font_size(pen_, text.size);
    cairo_translate(pen_, text.at.x, text.at.y);
    cairo_rotate(pen_, -text.turn_deg * std::numbers::pi / 180.0);
    double from = 0.0;
    if (text.anchor != Anchor::start) {
      const double width = text_width(text.words, text.size, text.bold);
      from = text.anchor == Anchor::end ? -width : -width / 2.0;
    }
    if (text.seam.visible()) {
      cairo_move_to(pen_, from, 0.0);
      cairo_text_path(pen_, text.words.c_str());
      set_paint(text.seam);
      cairo_set_line_width(pen_, seam_width);
      cairo_set_line_join(pen_, CAIRO_LINE_JOIN_ROUND);
      cairo_stroke(pen_);
    }
    cairo_move_to(pen_, from, 0.0);
    set_paint(text.paint);
    cairo_show_text(pen_, text.words.c_str());
    cairo_restore(pen_);
  }

  void operator()(const Picture& picture) const {
    const Image& image = picture.image;
    const Surface surface(cairo_image_surface_create(
        CAIRO_FORMAT_ARGB32, static_cast<int>(image.width), static_cast<int>(image.height)));
    copy_premultiplied(image, surface.get());
    (*this)(ClipBegin{picture.box});
    cairo_translate(pen_, picture.box.left, picture.box.top);
    cairo_scale(pen_,
                picture.box.width() / static_cast<double>(image.width),
                picture.box.height() / static_cast<double>(image.height));
    cairo_set_source_surface(pen_, surface.get(), 0.0, 0.0);
    cairo_pattern_set_filter(cairo_get_source(pen_), CAIRO_FILTER_BILINEAR);
    cairo_pattern_set_extend(cairo_get_source(pen_), CAIRO_EXTEND_PAD);
    cairo_paint(pen_);
    cairo_restore(pen_);
  }

  void operator()(const ClipBegin& clip) const {
    cairo_save(pen_);
    cairo_rectangle(pen_, clip.box.left, clip.box.top, clip.box.width(), clip.box.height());
    cairo_clip(pen_);
  }

  void operator()(const ClipEnd&) const { cairo_restore(pen_); }

 private:
  static constexpr double seam_width = 3.0;

  void set_paint(const Paint& paint) const {
    const Colour colour = resolve(paint);
    cairo_set_source_rgba(
        pen_, colour.red / 255.0, colour.green / 255.0, colour.blue / 255.0, paint.opacity);
  }

  void fill_and_stroke(const Paint& fill, const Stroke& stroke) const {
    if (fill.visible()) {
      set_paint(fill);
      cairo_fill_preserve(pen_);
    }
    if (stroke.paint.visible() && stroke.width > 0.0) {
      set_paint(stroke.paint);
      cairo_set_line_width(pen_, stroke.width);
      cairo_set_line_cap(pen_, CAIRO_LINE_CAP_BUTT);
      cairo_set_line_join(pen_, CAIRO_LINE_JOIN_ROUND);
      cairo_set_dash(pen_, stroke.dashes.data(), static_cast<int>(stroke.dashes.size()), 0.0);
      cairo_stroke_preserve(pen_);
    }
    cairo_new_path(pen_);
  }

  static void copy_premultiplied(const Image& image, cairo_surface_t* surface) {
    cairo_surface_flush(surface);
    unsigned char* data = cairo_image_surface_get_data(surface);
    const auto stride = static_cast<std::size_t>(cairo_image_surface_get_stride(surface));
    for (std::size_t row = 0; row < image.height; ++row) {
      for (std::size_t column = 0; column < image.width; ++column) {
        const Colour c = image.colour(column, row);
        const std::uint32_t a = image.opacity(column, row);
        const std::uint32_t pixel = a << 24U | (c.red * a + 127U) / 255U << 16U |
                                    (c.green * a + 127U) / 255U << 8U | (c.blue * a + 127U) / 255U;
        *reinterpret_cast<std::uint32_t*>(data + row * stride + 4 * column) = pixel;
      }
    }
    cairo_surface_mark_dirty(surface);
  }

  cairo_t* pen_;
};

Image to_image(cairo_surface_t* surface) {
  cairo_surface_flush(surface);
  Image image(static_cast<std::size_t>(cairo_image_surface_get_width(surface)),
              static_cast<std::size_t>(cairo_image_surface_get_height(surface)));
  const unsigned char* data = cairo_image_surface_get_data(surface);
  const auto stride = static_cast<std::size_t>(cairo_image_surface_get_stride(surface));
  for (std::size_t row = 0; row < image.height; ++row) {
    const auto* pixels = reinterpret_cast<const std::uint32_t*>(data + row * stride);
    for (std::size_t column = 0; column < image.width; ++column) {
      const std::uint32_t p = pixels[column];
      image.set(column,
                row,
                {static_cast<std::uint8_t>(p >> 16U),
                 static_cast<std::uint8_t>(p >> 8U),
                 static_cast<std::uint8_t>(p)},
                255);
    }
  }
  return image;
}

Image draw_pixels(const Canvas& canvas, double dots_per_inch) {
  const double zoom = dots_per_inch / 96.0;
  if (!(dots_per_inch >= 24.0 && dots_per_inch <= 1200.0)) {
    throw InputError("dots per inch must be 24 to 1200");
  }
  const double columns = std::ceil(canvas.width * zoom - 1e-9);
  const double rows = std::ceil(canvas.height * zoom - 1e-9);
  if (!(columns >= 1.0 && rows >= 1.0 && columns <= 30000.0 && rows <= 30000.0)) {
    throw InputError("a picture must have 1 to 30000 pixels each way");
  }
  const Surface surface(cairo_image_surface_create(
      CAIRO_FORMAT_RGB24, static_cast<int>(columns), static_cast<int>(rows)));
  const Pen pen(cairo_create(surface.get()));
  cairo_set_source_rgb(pen.get(), 1.0, 1.0, 1.0);
  cairo_paint(pen.get());
  cairo_scale(pen.get(), zoom, zoom);
  const FontOptions options = plain_options();
  cairo_set_font_options(pen.get(), options.get());
  const Drawing drawing(pen.get());
  for (const Item& item : canvas.items) {
    std::visit(drawing, item);
  }
  if (cairo_status(pen.get()) != CAIRO_STATUS_SUCCESS) {
    throw SystemError(std::string("the picture could not be drawn: ") +
                      cairo_status_to_string(cairo_status(pen.get())));
  }
  return to_image(surface.get());
}

}  // namespace

double text_width(std::string_view words, double size, bool bold) {
  // Made once a thread: cairo's fonts may be shared, but asking one from two threads at once
  // would make each wait for the other.
  thread_local const Font plain_font = make_font(false);
  thread_local const Font bold_font = make_font(true);
  cairo_text_extents_t extents;
  const std::string text = clean_utf8(words);
  cairo_scaled_font_text_extents((bold ? bold_font : plain_font).get(), text.c_str(), &extents);
  return extents.x_advance * size / 100.0;
}

std::vector<std::uint8_t> write_png(const Canvas& canvas,
                                    double dots_per_inch,
                                    const std::string& title) {
  return encode_png(draw_pixels(canvas, dots_per_inch),
                    {dots_per_inch,
                     clean_utf8(title.empty() ? canvas.title : title),
                     clean_utf8(canvas.description)});
}

}  // namespace sweepflux::render
