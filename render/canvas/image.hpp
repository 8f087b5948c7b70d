#pragma once

#include "render/canvas/colours.hpp"

#include <cstddef>
#include <cstdint>
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

}  // namespace sweepflux::render
