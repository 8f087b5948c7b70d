#pragma once

#include "render/canvas/image.hpp"
#include "sweepflux/base/error.hpp"

#include <png.h>

#include <cstring>
#include <span>
#include <string>
#include <vector>

// Reads PNG files back, for tests that look at what was written.

namespace sweepflux::render {
namespace png_reading {

inline void fail_reading(png_structp, png_const_charp words) {
  throw InputError(std::string("PNG could not be read: ") + words);
}
inline void ignore_warning(png_structp, png_const_charp) {}

struct Reader {
  png_structp png =
      png_create_read_struct(PNG_LIBPNG_VER_STRING, nullptr, fail_reading, ignore_warning);
  png_infop info = png != nullptr ? png_create_info_struct(png) : nullptr;
  Reader() = default;
  Reader(const Reader&) = delete;
  Reader& operator=(const Reader&) = delete;
  ~Reader() { png_destroy_read_struct(&png, &info, nullptr); }
};

struct Source {
  std::span<const std::uint8_t> bytes;
  std::size_t at = 0;
};

inline void take(png_structp png, png_bytep data, png_size_t size) {
  auto* source = static_cast<Source*>(png_get_io_ptr(png));
  if (source->bytes.size() - source->at < size) {
    png_error(png, "the file ends too early");
  }
  std::memcpy(data, source->bytes.data() + source->at, size);
  source->at += size;
}

inline void read_notes(const Reader& reader, PngNotes& notes) {
  png_uint_32 x = 0;
  png_uint_32 y = 0;
  int unit = 0;
  if (png_get_pHYs(reader.png, reader.info, &x, &y, &unit) != 0 && unit == PNG_RESOLUTION_METER) {
    notes.dots_per_inch = x * 0.0254;
  }
  png_textp texts = nullptr;
  const int count = png_get_text(reader.png, reader.info, &texts, nullptr);
  for (int i = 0; i < count; ++i) {
    const std::string key = texts[i].key;
    if (key == "Title") {
      notes.title = texts[i].text;
    } else if (key == "Description") {
      notes.description = texts[i].text;
    }
  }
}

}  // namespace png_reading

/// An 8-bit PNG file such as encode_png writes.
///
/// @throws InputError  not a PNG, or cut short; libpng's own words
inline Image decode_png(std::span<const std::uint8_t> bytes, PngNotes* notes = nullptr) {
  using namespace png_reading;
  const Reader reader;
  if (reader.info == nullptr) {
    throw SystemError("PNG could not be read: no memory");
  }
  Source source{bytes};
  png_set_read_fn(reader.png, &source, take);
  png_read_info(reader.png, reader.info);
  png_set_expand(reader.png);
  png_set_gray_to_rgb(reader.png);
  png_set_strip_16(reader.png);
  png_set_add_alpha(reader.png, 255, PNG_FILLER_AFTER);
  png_set_interlace_handling(reader.png);
  png_read_update_info(reader.png, reader.info);
  Image image(png_get_image_width(reader.png, reader.info),
              png_get_image_height(reader.png, reader.info));
  std::vector<png_bytep> rows;
  for (std::size_t row = 0; row < image.height; ++row) {
    rows.push_back(image.rgba.data() + 4 * row * image.width);
  }
  png_read_image(reader.png, rows.data());
  png_read_end(reader.png, reader.info);
  if (notes != nullptr) {
    read_notes(reader, *notes);
  }
  return image;
}

}  // namespace sweepflux::render
