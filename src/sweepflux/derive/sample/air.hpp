#pragma once

#include "sweepflux/base/measured.hpp"
#include "sweepflux/capture/survey/survey.hpp"

namespace sweepflux {

/// Density of moist air by the CIPM-2007 equation [Picard 2008], with the uncertainties of its
/// inputs and of the equation (22e-6; 2e-4 outside its range of 15 to 27 degC and 600 to 1100 hPa,
/// an allowance of ours) carried through. Carbon dioxide is taken as 400 ppm.
///
/// @return density [kg/m3]
/// @throws InputError  temperature not in -30 to 60 degC, pressure not in 400 to 1200 hPa, humidity
///                     not in 0 to 1, or a negative uncertainty; all such faults at once
///
/// Accuracy: 1e-7 against an independent evaluation of the equation (tests/derive/air_test.cpp).
[[nodiscard]] Measured air_density_kg_m3(const AirState& air);

}  // namespace sweepflux
