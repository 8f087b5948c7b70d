#pragma once

#include "render/canvas/colours.hpp"

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

namespace sweepflux::render {

/// Pixels, row by row from the top left; 4 bytes each: red, green, blue, opacity (not
/// premultiplied).
struct Image {
  std::size_t width = 0;
  std::size_t height = 0;
  std::vector<std::uint8_t> rgba;  ///< 4 * width * height

  Image() = default;
  Image(std::size_t columns, std::size_t rows)
      : width(columns), height(rows), rgba(4 * columns * rows, 0) {}

  void set(std::size_t column, std::size_t row, Colour colour, std::uint8_t opacity) {
    std::uint8_t* pixel = rgba.data() + 4 * (row * width + column);
    pixel[0] = colour.red;
    pixel[1] = colour.green;
    pixel[2] = colour.blue;
    pixel[3] = opacity;
  }
  [[nodiscard]] Colour colour(std::size_t column, std::size_t row) const {
    const std::uint8_t* pixel = rgba.data() + 4 * (row * width + column);
    return {pixel[0], pixel[1], pixel[2]};
  }
  [[nodiscard]] std::uint8_t opacity(std::size_t column, std::size_t row) const {
    return rgba[4 * (row * width + column) + 3];
  }
};

/// What a PNG file says about itself.
struct PngNotes {
  double dots_per_inch = 0.0;  ///< physical size (pHYs); 0: not stated
  std::string title;           ///< UTF-8; empty: not stated
  std::string description;     ///< UTF-8; empty: not stated
};

/// Pixels as a PNG file [ISO/IEC 15948]: 8 bits a channel, sRGB chunk as the only word on colour
/// (no gAMA or cHRM that a reader could weigh otherwise), no time stamp: the same pixels and notes
/// give the same bytes. Opaque images are written without opacity.
///
/// @throws InputError   no pixels, or their number does not fit width and height
/// @throws SystemError  libpng failed; its own words
[[nodiscard]] std::vector<std::uint8_t> encode_png(const Image& image, const PngNotes& notes = {});

/// The same as text, for files that hold no bytes [RFC 4648, 4].
[[nodiscard]] std::string png_base64(const Image& image);

}  // namespace sweepflux::render
