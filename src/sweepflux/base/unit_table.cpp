#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_table_private.hpp"

#include <array>
#include <vector>

namespace sweepflux {
namespace {

// Exact by definition unless said otherwise: inch, foot, mile, pound [NIST SP 811, appendix B],
// nautical mile [BIPM SI brochure, 8th edition, table 8], standard gravity [CGPM 1901].
constexpr double pi = 3.14159265358979323846;
constexpr double inch_m = 0.0254;
constexpr double foot_m = 0.3048;
constexpr double mile_m = 1609.344;
constexpr double nautical_mile_m = 1852.0;
constexpr double pound_kg = 0.45359237;
constexpr double ounce_kg = pound_kg / 16.0;
constexpr double g_n = standard_gravity_m_s2;
// Conventional columns: mercury of 13595.1 kg/m3, water of 1000 kg/m3 [NIST SP 811, appendix B].
constexpr double mm_of_mercury_pa = 13595.1 * g_n * 0.001;
constexpr double mm_of_water_pa = 1000.0 * g_n * 0.001;
constexpr double zero_celsius_k = 273.15;
constexpr double zero_fahrenheit_offset_k = 459.67 * 5.0 / 9.0;

constexpr UnitScale of(Dimension dimension, double factor, double offset = 0.0) {
  return {dimension, factor, offset, false};
}
constexpr UnitScale mass(double kg) { return {Dimension::force, kg * g_n, 0.0, true}; }
constexpr UnitScale length(double m) { return of(Dimension::length, m); }
constexpr UnitScale angle(double rad) { return of(Dimension::angle, rad); }
constexpr UnitScale speed(double m_s) { return of(Dimension::speed, m_s); }
constexpr UnitScale time(double s) { return of(Dimension::time, s); }
constexpr UnitScale pressure(double pa) { return of(Dimension::pressure, pa); }
constexpr UnitScale force(double n) { return of(Dimension::force, n); }
constexpr UnitScale flow(double m3_s) { return of(Dimension::volume_flow, m3_s); }
constexpr UnitScale turning(double rad_s) { return of(Dimension::angular_speed, rad_s); }
constexpr UnitScale ratio(double one) { return of(Dimension::ratio, one); }
constexpr UnitScale power(double w) { return of(Dimension::power, w); }
constexpr UnitScale celsius = of(Dimension::temperature, 1.0, zero_celsius_k);
constexpr UnitScale fahrenheit = of(Dimension::temperature, 5.0 / 9.0, zero_fahrenheit_offset_k);
constexpr UnitScale kelvin = of(Dimension::temperature, 1.0);
constexpr double degree = degree_rad;

// "\xC2\xB0" is the degree sign in UTF-8, "\xB0" in Latin-1; "\xC2\xB2", "\xC2\xB3" and "\xB2",
// "\xB3" are the raised 2 and 3; "\xE2\x84\x83" and "\xE2\x84\x89" the one-letter signs of degree
// Celsius and Fahrenheit; "\xE2\x81\xBB\xC2\xB9" is a raised -1. "\x43" and "\x46"
// are C and F, which as letters would be taken for digits of the escape before them.

/// The spellings of one unit, `|` between them: those that messages show, and further ones.
struct Unit {
  UnitScale scale;
  std::string_view shown;
  std::string_view others;
};

constexpr auto units = std::to_array<Unit>({
    {length(0.1), "", "dm"},
    {length(1000.0), "", "km"},
    {length(3.0 * foot_m), "", "yd"},
    {length(1.0), "m", ""},
    {length(0.01), "cm", ""},
    {length(0.001), "mm", ""},
    {length(inch_m), "in", "inch|inches"},
    {length(foot_m), "ft", "foot|feet"},
    {length(1.0), "", "metre|metres|meter|meters"},

    {angle(degree), "deg|\xC2\xB0", "\xB0|degree|degrees"},
    {angle(1.0), "rad", ""},
    {angle(0.001), "", "mrad"},
    {angle(pi / 200.0), "", "gon"},
    {angle(2.0 * pi), "", "turn|turns"},

    {speed(1.0), "m/s", "mps|m_s|m/sec|m s-1|m.s-1|m s^-1|m s\xE2\x81\xBB\xC2\xB9"},
    {speed(0.01), "", "cm/s"},
    {speed(0.001), "", "mm/s"},
    {speed(1.0 / 60.0), "", "m/min"},
    {speed(1000.0 / 3600.0), "km/h", "kmh|kph|km_h"},
    {speed(foot_m / 60.0), "ft/min", "fpm|ft_min"},
    {speed(foot_m), "", "ft/s|ft_s|fps"},
    {speed(mile_m / 3600.0), "mph", "mi/h"},
    {speed(nautical_mile_m / 3600.0), "kn", "kt|kts|knot|knots"},

    {time(1.0), "s", "sec|second|seconds"},
    {time(1e-6), "", "us"},
    {time(0.001), "ms", ""},
    {time(60.0), "min", "minute|minutes"},
    {time(3600.0), "h", "hr|hour|hours"},

    {pressure(1.0), "Pa", ""},
    {pressure(100.0), "hPa", ""},
    {pressure(1000.0), "kPa", ""},
    {pressure(100.0), "mbar", ""},
    {pressure(25.4 * mm_of_mercury_pa), "inHg", ""},
    {pressure(1e5), "", "bar"},
    {pressure(mm_of_mercury_pa), "", "mmHg"},
    {pressure(101325.0 / 760.0), "", "Torr"},
    {pressure(101325.0), "", "atm"},
    {pressure(pound_kg * g_n / (inch_m * inch_m)), "", "psi"},
    {pressure(25.4 * mm_of_water_pa), "", "inH2O"},
    {pressure(mm_of_water_pa), "", "mmH2O"},

    {celsius, "degC|\xC2\xB0\x43", "C|deg C|deg_C|\xB0\x43|\xE2\x84\x83|celsius"},
    {fahrenheit, "degF", "F|deg F|deg_F|\xC2\xB0\x46|\xB0\x46|\xE2\x84\x89|fahrenheit"},
    {kelvin, "K", "kelvin"},

    {force(1.0), "N", ""},
    {force(0.001), "mN", ""},
    {force(0.001 * g_n), "gf", ""},
    {force(g_n), "kgf", ""},
    {force(1000.0), "", "kN"},
    {force(1e6), "", "MN"},  // so that MN is never taken for mN
    {force(ounce_kg * g_n), "", "ozf"},
    {mass(1e-6), "", "mg"},
    {mass(0.001), "g", "gram|grams"},
    {mass(1.0), "kg", ""},
    {mass(ounce_kg), "oz", ""},
    {mass(pound_kg), "lb", "lbs"},
    {force(pound_kg * g_n), "lbf", ""},

    {power(1.0), "W", ""},
    {power(1000.0), "kW", ""},
    {power(0.001), "", "mW"},
    {power(1e6), "", "MW"},

    // A level of A-weighted sound pressure is the number of decibels itself.
    {of(Dimension::sound_level, 1.0), "dB|dB(A)", "dBA|dB A"},

    {ratio(0.01), "%", "percent|%RH|% RH|% r.h."},
    {ratio(1e-6), "", "ppm"},
    {ratio(1.0), "relative", "1|-"},

    {of(Dimension::acceleration, 1.0), "m/s2", "m/s^2|m/s\xC2\xB2|m/s\xB2|m_s2"},

    {flow(1.0), "m3/s", "m^3/s|m\xC2\xB3/s|m\xB3/s|m3_s"},
    {flow(1.0 / 60.0), "", "m3/min"},
    {flow(1.0 / 3600.0), "m3/h", "m^3/h|m\xC2\xB3/h|m\xB3/h"},
    {flow(0.001), "l/s", ""},
    {flow(0.001 / 60.0), "", "l/min"},
    {flow(foot_m * foot_m * foot_m / 60.0), "cfm", "ft3/min"},

    {turning(degree), "deg/s", "deg_s|\xC2\xB0/s"},
    {turning(degree / 60.0), "deg/min", "\xC2\xB0/min"},
    {turning(1.0), "rad/s", ""},
});

std::vector<UnitSpelling> every_spelling() {
  std::vector<UnitSpelling> spellings;
  for (const bool shown : {true, false}) {
    for (const Unit& unit : units) {
      for (const std::string_view text : parts_of(shown ? unit.shown : unit.others, '|')) {
        spellings.push_back({text, unit.scale, shown});
      }
    }
  }
  return spellings;
}

}  // namespace

std::span<const UnitSpelling> unit_table() {
  static const std::vector<UnitSpelling> table = every_spelling();
  return table;
}

}  // namespace sweepflux
