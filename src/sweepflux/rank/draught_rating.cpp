#include "sweepflux/rank/draught_rating.hpp"

#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {

double draught_rating_percent(double air_temperature_c, double speed_m_s, double turbulence) {
  if (!std::isfinite(air_temperature_c) || !std::isfinite(speed_m_s) ||
      !std::isfinite(turbulence) || speed_m_s < 0.0 || turbulence < 0.0) {
    throw InputError("a draught rating needs a temperature, and speed and turbulence >= 0");
  }
  const double above = std::max(0.0, speed_m_s - 0.05);
  const double percent = std::max(0.0, 34.0 - air_temperature_c) * std::pow(above, 0.62) *
                         (0.37 * speed_m_s * 100.0 * turbulence + 3.14);
  return std::min(percent, 100.0);
}

bool draught_rating_holds(double air_temperature_c, double speed_m_s, double turbulence) {
  return air_temperature_c >= 20.0 && air_temperature_c <= 26.0 && speed_m_s < 0.5 &&
         turbulence >= 0.1 && turbulence <= 0.6;
}

}  // namespace sweepflux
