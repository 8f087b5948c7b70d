#pragma once

#include "render/canvas/image.hpp"

#include <cstdint>
#include <string>
#include <vector>

namespace sweepflux::render {

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
