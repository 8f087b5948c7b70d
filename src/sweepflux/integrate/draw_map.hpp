#pragma once

#include "sweepflux/derive/sample/samples.hpp"
#include "sweepflux/integrate/plane_draws.hpp"
#include "sweepflux/integrate/plane_map.hpp"

namespace sweepflux {

/// The window that was read on an even grid: estimate_of the draws' speeds.
///
/// @param step_m  0: an eighth of the smaller half width
/// @throws InputError  step_m would make more than four million cells
[[nodiscard]] PlaneMap draw_map(const StreamPosterior& posterior,
                                std::size_t plane,
                                const PlaneSamples& samples,
                                const PlaneDraws& draws,
                                double step_m,
                                int threads);

/// Distance-based support of places: from 1 within half a half-width of a sample to 0 at a whole one.
[[nodiscard]] std::vector<double> support_of(const PlaneMap& grid,
                                             const PlaneSamples& samples,
                                             double half_width_y_m,
                                             double half_width_z_m);

/// The grid that a map of these samples uses; no values yet.
[[nodiscard]] PlaneMap empty_map(const Window& window, double step_m);

/// Form of the stream in one map.
struct StreamShape {
  double peak_speed_m_s = 0.0;
  PlanePoint centre;            ///< centre of the momentum: weighted by speed squared
  double half_width_y_m = 0.0;  ///< half the distance between the outermost places where the
  double half_width_z_m = 0.0;  ///< profile through the centre falls to half its largest value, or
                                ///< what the map holds of it
};

/// Measures a map. Half widths interpolate linearly between cells.
[[nodiscard]] StreamShape measure_shape(const PlaneMap& map);

}  // namespace sweepflux
