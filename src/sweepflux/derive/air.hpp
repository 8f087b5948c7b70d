#pragma once

#include "sweepflux/base/measured.hpp"
#include "sweepflux/capture/survey.hpp"

namespace sweepflux {

/// Density of moist air by the CIPM-2007 equation [Picard 2008], with the uncertainties of its
/// inputs and of the equation (22e-6) carried through.
///
/// @return density [kg/m3]
/// @throws InputError  temperature, pressure or humidity outside what the equation can bear
[[nodiscard]] Measured air_density_kg_m3(const AirState& air);

}  // namespace sweepflux
