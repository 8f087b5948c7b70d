#include "sweepflux/derive/sample/air.hpp"

#include "sweepflux/base/error.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <string>

namespace sweepflux {
namespace {

AirState air(double celsius, double pressure_pa, double humidity) {
  AirState state;
  state.temperature_k = {celsius + 273.15, 0.0};
  state.pressure_pa = {pressure_pa, 0.0};
  state.humidity = {humidity, 0.0};
  return state;
}

TEST(Air, agrees_with_the_equation_worked_out_apart) {
  // The CIPM-2007 equation [Picard 2008] evaluated in another program by another hand; no printed
  // table of values was found.
  struct Case {
    double celsius, pressure_pa, humidity, density;
  };
  for (const Case& c : {Case{20, 101325, 0.5, 1.1993139},
                        Case{20, 101325, 0.0, 1.2045573},
                        Case{20, 101325, 1.0, 1.1940872},
                        Case{15, 101325, 0.0, 1.2255213},
                        Case{25, 101325, 0.5, 1.1773154},
                        Case{22, 100000, 0.5, 1.1748329},
                        Case{20, 95000, 0.4, 1.1251439},
                        Case{27, 110000, 1.0, 1.2615516},
                        Case{20, 75000, 0.5, 0.8862766}}) {
    EXPECT_NEAR(air_density_kg_m3(air(c.celsius, c.pressure_pa, c.humidity)).value, c.density, 6e-8)
        << c.celsius << " degC";
  }
}

TEST(Air, lies_above_a_handbook_pair_by_the_revision_of_argon) {
  // Moist air as a real gas, 20 degC and one atmosphere, as printed by the documentation of a
  // general psychrometrics library: dry 1.2044776705, 70 % 1.1971436092 kg/m3. The 2007 equation
  // raised the molar mass for argon: +6.4e-5 relative [Picard 2008].
  EXPECT_NEAR(air_density_kg_m3(air(20, 101325, 0.0)).value / 1.2044776705 - 1.0, 6.5e-5, 3e-6);
  EXPECT_NEAR(air_density_kg_m3(air(20, 101325, 0.7)).value / 1.1971436092 - 1.0, 6.5e-5, 3e-6);
}

TEST(Air, follows_a_magnus_estimate_within_its_stated_error) {
  // Ideal gases with the Magnus formula of the WMO guide for the vapour; 0.04 % is what the two
  // differ by over ordinary rooms.
  for (const double t : {15.0, 20.0, 27.0}) {
    const double e = 0.5 * 611.2 * std::exp(17.62 * t / (243.12 + t));
    const double simple = (101325.0 - e) / (287.05 * (t + 273.15)) + e / (461.5 * (t + 273.15));
    EXPECT_NEAR(air_density_kg_m3(air(t, 101325, 0.5)).value / simple, 1.0, 5e-4);
  }
}

TEST(Air, carries_the_uncertainty_of_its_inputs) {
  // Sensitivities at 20 degC, one atmosphere, 50 %: -0.369 %/K, 0.0992 %/hPa, -0.0873 % per 10 %
  // of humidity (worked out apart).
  AirState state = air(20, 101325, 0.5);
  const double rho = air_density_kg_m3(state).value;
  EXPECT_NEAR(air_density_kg_m3(state).standard_uncertainty / rho, 22e-6, 1e-12);
  state.temperature_k.standard_uncertainty = 1.0;
  EXPECT_NEAR(air_density_kg_m3(state).standard_uncertainty / rho, 0.00369, 1e-5);
  state.temperature_k.standard_uncertainty = 0.0;
  state.pressure_pa.standard_uncertainty = 100.0;
  EXPECT_NEAR(air_density_kg_m3(state).standard_uncertainty / rho, 0.000992, 2e-6);
  state.pressure_pa.standard_uncertainty = 0.0;
  state.humidity.standard_uncertainty = 0.1;
  EXPECT_NEAR(air_density_kg_m3(state).standard_uncertainty / rho, 0.000873, 2e-6);
}

TEST(Air, is_less_sure_outside_the_equations_range) {
  const Measured cold = air_density_kg_m3(air(5, 101325, 0.5));
  EXPECT_NEAR(cold.standard_uncertainty / cold.value, 2e-4, 1e-9);
}

TEST(Air, refuses_nonsense_and_names_all_of_it) {
  // 1006.2 given as Pa, 21.5 as K, 48 as a share.
  try {
    static_cast<void>(air_density_kg_m3(air(21.5 - 273.15, 1006.2, 48.0)));
    FAIL() << "not refused";
  } catch (const InputError& e) {
    const std::string text = e.what();
    EXPECT_NE(text.find("air.temperature"), std::string::npos);
    EXPECT_NE(text.find("air.pressure"), std::string::npos);
    EXPECT_NE(text.find("air.humidity"), std::string::npos);
  }
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_THROW(static_cast<void>(air_density_kg_m3(air(nan, 101325, 0.5))), InputError);
  AirState negative = air(20, 101325, 0.5);
  negative.pressure_pa.standard_uncertainty = -1.0;
  EXPECT_THROW(static_cast<void>(air_density_kg_m3(negative)), InputError);
}

}  // namespace
}  // namespace sweepflux
