#include "sweepflux/base/unit_table_private.hpp"

#include <array>

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

constexpr bool shown = true;

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
// Celsius and Fahrenheit; "\xE2\x81\xBB\xC2\xB9" is a raised -1.
constexpr auto table = std::to_array<UnitSpelling>({
    {"m", length(1.0), shown},
    {"cm", length(0.01), shown},
    {"mm", length(0.001), shown},
    {"in", length(inch_m), shown},
    {"ft", length(foot_m), shown},
    {"dm", length(0.1)},
    {"km", length(1000.0)},
    {"yd", length(3.0 * foot_m)},
    {"inch", length(inch_m)},
    {"inches", length(inch_m)},
    {"foot", length(foot_m)},
    {"feet", length(foot_m)},
    {"metre", length(1.0)},
    {"metres", length(1.0)},
    {"meter", length(1.0)},
    {"meters", length(1.0)},

    {"deg", angle(degree), shown},
    {"\xC2\xB0", angle(degree), shown},
    {"rad", angle(1.0), shown},
    {"\xB0", angle(degree)},
    {"degree", angle(degree)},
    {"degrees", angle(degree)},
    {"mrad", angle(0.001)},
    {"gon", angle(pi / 200.0)},
    {"turn", angle(2.0 * pi)},
    {"turns", angle(2.0 * pi)},

    {"m/s", speed(1.0), shown},
    {"km/h", speed(1000.0 / 3600.0), shown},
    {"ft/min", speed(foot_m / 60.0), shown},
    {"mph", speed(mile_m / 3600.0), shown},
    {"kn", speed(nautical_mile_m / 3600.0), shown},
    {"mps", speed(1.0)},
    {"m_s", speed(1.0)},
    {"m/sec", speed(1.0)},
    {"m s-1", speed(1.0)},
    {"m.s-1", speed(1.0)},
    {"m s^-1", speed(1.0)},
    {"m s\xE2\x81\xBB\xC2\xB9", speed(1.0)},
    {"cm/s", speed(0.01)},
    {"mm/s", speed(0.001)},
    {"m/min", speed(1.0 / 60.0)},
    {"kmh", speed(1000.0 / 3600.0)},
    {"kph", speed(1000.0 / 3600.0)},
    {"km_h", speed(1000.0 / 3600.0)},
    {"fpm", speed(foot_m / 60.0)},
    {"ft_min", speed(foot_m / 60.0)},
    {"ft/s", speed(foot_m)},
    {"ft_s", speed(foot_m)},
    {"fps", speed(foot_m)},
    {"mi/h", speed(mile_m / 3600.0)},
    {"kt", speed(nautical_mile_m / 3600.0)},
    {"kts", speed(nautical_mile_m / 3600.0)},
    {"knot", speed(nautical_mile_m / 3600.0)},
    {"knots", speed(nautical_mile_m / 3600.0)},

    {"s", time(1.0), shown},
    {"ms", time(0.001), shown},
    {"min", time(60.0), shown},
    {"h", time(3600.0), shown},
    {"sec", time(1.0)},
    {"second", time(1.0)},
    {"seconds", time(1.0)},
    {"us", time(1e-6)},
    {"minute", time(60.0)},
    {"minutes", time(60.0)},
    {"hr", time(3600.0)},
    {"hour", time(3600.0)},
    {"hours", time(3600.0)},

    {"Pa", pressure(1.0), shown},
    {"hPa", pressure(100.0), shown},
    {"kPa", pressure(1000.0), shown},
    {"mbar", pressure(100.0), shown},
    {"inHg", pressure(25.4 * mm_of_mercury_pa), shown},
    {"bar", pressure(1e5)},
    {"mmHg", pressure(mm_of_mercury_pa)},
    {"Torr", pressure(101325.0 / 760.0)},
    {"atm", pressure(101325.0)},
    {"psi", pressure(pound_kg* g_n / (inch_m * inch_m))},
    {"inH2O", pressure(25.4 * mm_of_water_pa)},
    {"mmH2O", pressure(mm_of_water_pa)},

    {"degC", celsius, shown},
    {"\xC2\xB0"
     "C",
     celsius,
     shown},
    {"degF", fahrenheit, shown},
    {"K", kelvin, shown},
    {"C", celsius},
    {"F", fahrenheit},
    {"deg C", celsius},
    {"deg F", fahrenheit},
    {"deg_C", celsius},
    {"deg_F", fahrenheit},
    {"\xB0"
     "C",
     celsius},
    {"\xC2\xB0"
     "F",
     fahrenheit},
    {"\xB0"
     "F",
     fahrenheit},
    {"\xE2\x84\x83", celsius},
    {"\xE2\x84\x89", fahrenheit},
    {"celsius", celsius},
    {"fahrenheit", fahrenheit},
    {"kelvin", kelvin},

    {"N", force(1.0), shown},
    {"mN", force(0.001), shown},
    {"gf", force(0.001 * g_n), shown},
    {"kgf", force(g_n), shown},
    {"g", mass(0.001), shown},
    {"kg", mass(1.0), shown},
    {"oz", mass(ounce_kg), shown},
    {"lb", mass(pound_kg), shown},
    {"lbf", force(pound_kg* g_n), shown},
    {"kN", force(1000.0)},
    {"MN", force(1e6)},  // so that MN is never taken for mN
    {"ozf", force(ounce_kg* g_n)},
    {"mg", mass(1e-6)},
    {"gram", mass(0.001)},
    {"grams", mass(0.001)},
    {"lbs", mass(pound_kg)},

    {"W", power(1.0), shown},
    {"kW", power(1000.0), shown},
    {"mW", power(0.001)},
    {"MW", power(1e6)},

    // A level of A-weighted sound pressure is the number of decibels itself.
    {"dB", of(Dimension::sound_level, 1.0), shown},
    {"dB(A)", of(Dimension::sound_level, 1.0), shown},
    {"dBA", of(Dimension::sound_level, 1.0)},
    {"dB A", of(Dimension::sound_level, 1.0)},

    {"%", ratio(0.01), shown},
    {"relative", ratio(1.0), shown},
    {"percent", ratio(0.01)},
    {"%RH", ratio(0.01)},
    {"% RH", ratio(0.01)},
    {"% r.h.", ratio(0.01)},
    {"ppm", ratio(1e-6)},
    {"1", ratio(1.0)},
    {"-", ratio(1.0)},

    {"m/s2", of(Dimension::acceleration, 1.0), shown},
    {"m/s^2", of(Dimension::acceleration, 1.0)},
    {"m/s\xC2\xB2", of(Dimension::acceleration, 1.0)},
    {"m/s\xB2", of(Dimension::acceleration, 1.0)},
    {"m_s2", of(Dimension::acceleration, 1.0)},

    {"m3/s", flow(1.0), shown},
    {"m3/h", flow(1.0 / 3600.0), shown},
    {"l/s", flow(0.001), shown},
    {"cfm", flow(foot_m* foot_m* foot_m / 60.0), shown},
    {"m^3/s", flow(1.0)},
    {"m\xC2\xB3/s", flow(1.0)},
    {"m\xB3/s", flow(1.0)},
    {"m3_s", flow(1.0)},
    {"m3/min", flow(1.0 / 60.0)},
    {"m^3/h", flow(1.0 / 3600.0)},
    {"m\xC2\xB3/h", flow(1.0 / 3600.0)},
    {"m\xB3/h", flow(1.0 / 3600.0)},
    {"l/min", flow(0.001 / 60.0)},
    {"ft3/min", flow(foot_m* foot_m* foot_m / 60.0)},

    {"deg/s", turning(degree), shown},
    {"deg/min", turning(degree / 60.0), shown},
    {"rad/s", turning(1.0), shown},
    {"deg_s", turning(degree)},
    {"\xC2\xB0/s", turning(degree)},
    {"\xC2\xB0/min", turning(degree / 60.0)},
});

}  // namespace

std::span<const UnitSpelling> unit_table() { return table; }

}  // namespace sweepflux
