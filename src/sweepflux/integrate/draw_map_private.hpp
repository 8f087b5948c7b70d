#pragma once

#include "sweepflux/derive/sample/samples.hpp"
#include "sweepflux/integrate/flux_private.hpp"
#include "sweepflux/integrate/plane_map.hpp"

namespace sweepflux {

/// The measured window on an even grid. Each candidate's shape is worked out on the grid itself;
/// what its process adds is smooth and comes from the integration nodes by cubic convolution
/// [Keys 1981], so that a fine map costs no more solves than the integrals did.
///
/// Support falls from 1 within half a half-width of a sample to 0 at a whole one.
///
/// @param step_m  0: an eighth of the smaller half width
/// @throws InputError  step_m would make more than four million cells
[[nodiscard]] PlaneMap draw_map(const PlaneField& field,
                                const Nodes& nodes,
                                const PlaneFlux& flux,
                                const PlaneSamples& samples,
                                double step_m);

/// Distance-based support of places, 0 to 1, as above.
[[nodiscard]] std::vector<double> support_of(const PlaneMap& grid,
                                             const PlaneSamples& samples,
                                             double half_width_y_m,
                                             double half_width_z_m);

/// The grid that a map of these samples uses; no values yet.
[[nodiscard]] PlaneMap empty_map(const Window& window, double step_m);

}  // namespace sweepflux
