#include "sweepflux/derive/sample/air.hpp"

#include "sweepflux/base/error.hpp"

#include <cmath>
#include <string>
#include <utility>

namespace sweepflux {
namespace {

constexpr double equation_uncertainty = 22e-6;  ///< relative, standard [Picard 2008]
/// Outside 15 to 27 degC and 600 to 1100 hPa no figure is published; a cautious allowance of ours.
constexpr double equation_uncertainty_outside = 2e-4;
constexpr double zero_celsius_k = 273.15;

/// [Picard 2008], with 400 ppm of carbon dioxide; 800 ppm would add 0.016 %.
double density(double t_k, double p_pa, double humidity) {
  constexpr double gas_constant = 8.314472;       // J/(mol K), as in the source
  constexpr double dry_molar_mass = 28.96546e-3;  // kg/mol
  constexpr double water_molar_mass = 18.01528e-3;
  const double t = t_k - zero_celsius_k;
  const double saturation_pa =
      std::exp((1.2378847e-5 * t_k - 1.9121316e-2) * t_k + 33.93711047 - 6.3431645e3 / t_k);
  const double enhancement = 1.00062 + 3.14e-8 * p_pa + 5.6e-7 * t * t;
  const double x_v = humidity * enhancement * saturation_pa / p_pa;
  const double first = 1.58123e-6 + (-2.9331e-8 + 1.1043e-10 * t) * t +
                       ((5.707e-6 - 2.051e-8 * t) + (1.9898e-4 - 2.376e-6 * t) * x_v) * x_v;
  const double second = 1.83e-11 - 0.765e-8 * x_v * x_v;
  const double ratio = p_pa / t_k;
  const double compressibility = 1.0 - ratio * first + ratio * ratio * second;
  return p_pa * dry_molar_mass / (compressibility * gas_constant * t_k) *
         (1.0 - x_v * (1.0 - water_molar_mass / dry_molar_mass));
}

/// Throws with all that is wrong; "not (in range)" catches not-a-number too.
void check(const AirState& air) {
  const auto within = [](const Measured& m, double low, double high) {
    return m.value >= low && m.value <= high;
  };
  const auto sound = [](const Measured& m) {
    return m.standard_uncertainty >= 0.0 && std::isfinite(m.standard_uncertainty);
  };
  const std::pair<bool, const char*> rules[] = {
      {within(air.temperature_k, 243.15, 333.15),
       "air.temperature must lie between -30 degC and 60 degC; check its unit"},
      {within(air.pressure_pa, 40e3, 120e3),
       "air.pressure must lie between 400 hPa and 1200 hPa; check its unit, and give the pressure "
       "at the rig, not reduced to sea level"},
      {within(air.humidity, 0.0, 1.0), "air.humidity must lie between 0 % and 100 %"},
      {sound(air.temperature_k) && sound(air.pressure_pa) && sound(air.humidity),
       "the uncertainties of temperature, pressure and humidity must be 0 or larger"}};
  std::string faults;
  for (const auto& [kept, text] : rules) {
    if (!kept) {
      faults += faults.empty() ? "" : "\n";
      faults += text;
    }
  }
  if (!faults.empty()) {
    throw InputError(faults);
  }
}

}  // namespace

Measured air_density_kg_m3(const AirState& air) {
  check(air);
  const double t_k = air.temperature_k.value;
  const double p_pa = air.pressure_pa.value;
  const double h = air.humidity.value;
  const double value = density(t_k, p_pa, h);
  // Steps far above rounding, and so small that the equation is straight across them.
  const double by_temperature =
      (density(t_k + 0.01, p_pa, h) - density(t_k - 0.01, p_pa, h)) / 0.02;
  const double by_pressure = (density(t_k, p_pa + 1.0, h) - density(t_k, p_pa - 1.0, h)) / 2.0;
  const double by_humidity = (density(t_k, p_pa, h + 1e-4) - density(t_k, p_pa, h - 1e-4)) / 2e-4;
  const bool published =
      t_k >= zero_celsius_k + 15.0 && t_k <= zero_celsius_k + 27.0 && p_pa >= 60e3 && p_pa <= 110e3;
  const double equation = published ? equation_uncertainty : equation_uncertainty_outside;
  double uncertainty = equation * value;
  uncertainty = std::hypot(uncertainty, by_temperature * air.temperature_k.standard_uncertainty);
  uncertainty = std::hypot(uncertainty, by_pressure * air.pressure_pa.standard_uncertainty);
  uncertainty = std::hypot(uncertainty, by_humidity * air.humidity.standard_uncertainty);
  return {value, uncertainty};
}

}  // namespace sweepflux
