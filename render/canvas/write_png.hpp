#pragma once

#include "render/canvas/canvas.hpp"

#include <cstdint>
#include <string>
#include <vector>

namespace sweepflux::render {

/// Pixels that hold twice what a plain screen shows, so that the picture stays sharp when printed
/// at its size and is still legible at half of it.
inline constexpr double usual_dots_per_inch = 192.0;

/// A canvas as a PNG file, on white, with its physical size, title and description.
///
/// @param dots_per_inch  24 to 1200; the canvas counts 96 px to the inch
/// @param title          of the file; empty: the canvas's own
/// @throws InputError    a size that cannot be drawn
[[nodiscard]] std::vector<std::uint8_t> write_png(const Canvas& canvas,
                                                  double dots_per_inch = usual_dots_per_inch,
                                                  const std::string& title = {});

}  // namespace sweepflux::render
