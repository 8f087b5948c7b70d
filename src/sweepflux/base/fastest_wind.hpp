#pragma once

namespace sweepflux {

/// No fan blows faster; a speed above it is a slip of unit, or a code for "missing". Common practice,
/// no published source.
inline constexpr double fastest_wind_m_s = 150.0;

}  // namespace sweepflux
