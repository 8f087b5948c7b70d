#pragma once

#include <algorithm>
#include <cstddef>

// Where the shapes miss the readings they miss the gaps between them by more than they know: how
// far that widens a standard deviation. Found on known fields by coverage and interval score, no
// published source.

namespace sweepflux {

/// By the square of the misfit [noise] beyond what fits, at most by `most`.
[[nodiscard]] inline double widening(double misfit, double most) {
  const double excess = misfit / 1.1;
  return std::clamp(excess * excess, 1.0, most);
}

/// Where rows lie close they say much of what is between them.
inline constexpr double most_of_many_rows = 1.5;

/// Of a shape fitted to one plane.
[[nodiscard]] inline double shape_widening(double misfit, std::size_t rows) {
  return widening(misfit, rows < 7 ? 2.5 : most_of_many_rows);
}

/// Of the process about the shapes of one plane: it knows of itself that none of them holds, once
/// there are rows enough to tell it by how much.
[[nodiscard]] inline double root_widening(double misfit, std::size_t rows) {
  return widening(misfit, rows < 5 ? 2.0 : most_of_many_rows);
}

/// How much more that process doubts the skirt beyond the readings than a shape that holds: its
/// skirt is that of shapes that do not.
inline constexpr double root_skirt_doubt = 3.0;

/// Of a shape fitted to all planes together.
[[nodiscard]] inline double widening_together(double misfit) { return widening(misfit, 2.0); }

}  // namespace sweepflux
