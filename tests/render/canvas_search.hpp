#pragma once

#include "render/canvas/canvas.hpp"

#include <stdexcept>
#include <string>
#include <variant>
#include <vector>

// Looks into a canvas list: what is drawn, and what it says.

namespace sweepflux::render {

template <class Kind>
std::vector<Kind> all_of(const Canvas& canvas) {
  std::vector<Kind> found;
  for (const Item& item : canvas.items) {
    if (const auto* one = std::get_if<Kind>(&item)) {
      found.push_back(*one);
    }
  }
  return found;
}

inline std::string words_of(const Canvas& canvas) {
  std::string words;
  for (const Text& text : all_of<Text>(canvas)) {
    words += text.words + "\n";
  }
  return words;
}

inline bool says(const Canvas& canvas, const std::string& part) {
  return words_of(canvas).find(part) != std::string::npos;
}

/// Where a label stands on its axis: the middle of a tick's words.
inline double label_x(const Canvas& canvas, const std::string& label) {
  for (const Text& text : all_of<Text>(canvas)) {
    if (text.words == label && text.anchor == Anchor::middle) {
      return text.at.x;
    }
  }
  throw std::runtime_error("no label " + label);
}

/// Height of the line at which a label of the y axis stands; the n-th from the top of the canvas.
inline double label_y(const Canvas& canvas, const std::string& label, int which = 0) {
  for (const Text& text : all_of<Text>(canvas)) {
    if (text.words == label && text.anchor == Anchor::end && which-- == 0) {
      return text.at.y - 0.36 * text.size;
    }
  }
  throw std::runtime_error("no label " + label);
}

inline std::vector<Path> error_bars(const Canvas& canvas) {
  std::vector<Path> bars;
  for (const Path& path : all_of<Path>(canvas)) {
    if (path.lines.size() == 3 && path.lines[0].size() == 2 && !path.closed) {
      bars.push_back(path);
    }
  }
  return bars;
}

}  // namespace sweepflux::render
