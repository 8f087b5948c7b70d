#pragma once

#include "render/canvas/canvas.hpp"

#include <string>

namespace sweepflux::render {

struct SvgOptions {
  /// For a place inside a web page: no XML header, colours follow the page's style variables
  /// (theme_css), no paper of its own, cut to the part that a page shows, at most as wide as
  /// the canvas, and marks show their values to a resting pointer.
  bool embedded = false;
  /// Starts every id, so that several pictures can share a page; letters, digits, `-`.
  std::string id_prefix = "sweepflux";
};

/// A canvas as SVG 1.1: real text, a title and a description that screen readers find
/// (role="img"), coloured maps as an image inside the file. Needs no network and no scripts.
/// The same canvas gives the same bytes.
///
/// @throws InputError  the id prefix is empty, or has other characters
[[nodiscard]] std::string write_svg(const Canvas& canvas, const SvgOptions& options = {});

}  // namespace sweepflux::render
