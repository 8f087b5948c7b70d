#pragma once

#include "sweepflux/judge/survey_result.hpp"

#include <span>
#include <string>

namespace sweepflux {

/// A plane as VTK image data (XML, one file, values as base64 of 64-bit numbers, so nothing is
/// rounded): point data `speed_m_s`, `speed_uncertainty_m_s`, `support`. The plane stands where it
/// stood, at x = its distance; metres in the fan's frame.
///
/// @throws InputError  the map's arrays are not ny * nz long, or the map is empty
[[nodiscard]] std::string plane_image_data(const PlaneResult& plane);

/// All planes as one volume on an even grid: along x the fewest layers, at most 60, such that each
/// plane lies on one to 1 mm; across, the union of the maps at the finest step, made coarser until
/// the volume has at most 300 000 points. Between planes the values run straight, at the same y and
/// z; `support` says how far a value may be believed. Where a plane has no map, values are
/// not-a-number and support is 0.
///
/// @param planes  nearest first, at least two
/// @throws InputError  fewer than two planes, not in order, or a map that is not whole
[[nodiscard]] std::string volume_image_data(std::span<const PlaneResult> planes);

}  // namespace sweepflux
