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

}  // namespace sweepflux
