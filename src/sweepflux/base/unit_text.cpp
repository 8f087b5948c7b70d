#include "sweepflux/base/unit_text.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/nearest_name.hpp"
#include "sweepflux/base/text_encoding.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <string>
#include <utility>
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

/// One spelling of one unit.
struct UnitSpelling {
  std::string_view text;
  UnitScale scale;
  bool shown = false;  ///< in messages; the others are spellings of the same
};

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

/// Every spelling that is understood.
const std::vector<UnitSpelling>& unit_table() {
  static const std::vector<UnitSpelling> table = every_spelling();
  return table;
}

/// Takes one pair of brackets off: "[m/s]", "(m/s)".
std::string_view without_brackets(std::string_view text) {
  text = trimmed(text);
  if (text.size() >= 2 && ((text.front() == '[' && text.back() == ']') ||
                           (text.front() == '(' && text.back() == ')'))) {
    text = trimmed(text.substr(1, text.size() - 2));
  }
  return text;
}

/// Length of what looks like a number at the front: sign, digits, one mark, exponent.
std::size_t number_length(std::string_view text) {
  const auto end_of = [text](std::string_view letters, std::size_t from) {
    return std::min(text.find_first_not_of(letters, from), text.size());
  };
  const bool typographic_minus = text.starts_with("\xE2\x88\x92");
  const bool sign = text.starts_with('+') || text.starts_with('-');
  const std::size_t end = end_of("0123456789.", typographic_minus ? 3 : sign ? 1 : 0);
  if (end + 1 < text.size() && (text[end] == 'e' || text[end] == 'E')) {
    const std::size_t digits = end + (text[end + 1] == '+' || text[end + 1] == '-' ? 2 : 1);
    if (digits < text.size() && is_digit(text[digits])) {
      return end_of("0123456789", digits);
    }
  }
  return end;
}

std::vector<std::string> spellings(Dimension dimension) {
  std::vector<std::string> names;
  for (const UnitSpelling& unit : unit_table()) {
    if (unit.scale.dimension == dimension) {
      names.emplace_back(unit.text);
    }
  }
  return names;
}

struct Parsed {
  double number = 0.0;
  UnitScale scale;
};

[[noreturn]] void refuse(std::string_view text, const std::string& why, Dimension wanted) {
  throw InputError(in_backticks(text) + " " + why + "; allowed: a number with a unit (" +
                   accepted_units(wanted) + ")");
}

Parsed parse_with_unit(std::string_view whole, Dimension wanted) {
  const std::string_view text = trimmed(whole);
  const std::size_t length = number_length(text);
  const std::string_view unit = trimmed(text.substr(length));
  if (text.empty()) {
    refuse(whole, "is empty", wanted);
  }
  if (length < text.size() && text[length] == ',' && length + 1 < text.size() &&
      is_digit(text[length + 1])) {
    refuse(whole, "has a comma in its number, write a decimal point", wanted);
  }
  const std::optional<double> number = parse_number(text.substr(0, length));
  if (!number || (!unit.empty() && (is_digit(unit.front()) || unit.front() == '_'))) {
    refuse(whole, "does not start with a number that can be read", wanted);
  }
  if (unit.empty()) {
    refuse(whole, "has no unit", wanted);
  }
  const std::optional<UnitScale> scale = find_unit(unit);
  if (!scale) {
    const std::string hint = did_you_mean(unit, spellings(wanted));
    refuse(whole, "has the unknown unit " + in_backticks(unit) + hint, wanted);
  }
  if (scale->dimension != wanted) {
    refuse(whole,
           "is " + std::string(describe(scale->dimension)) + ", must be " +
               std::string(describe(wanted)),
           wanted);
  }
  return {*number, *scale};
}

}  // namespace

std::string_view describe(Dimension dimension) {
  static const std::vector<std::string_view> in_order_of_enumeration = parts_of(
      "a plain number|a length|an angle|a speed|a time|a pressure|a temperature|a force|a power|"
      "a share|an acceleration|a volume flow|an angular speed|a sound level",
      '|');
  return in_order_of_enumeration[static_cast<std::size_t>(dimension)];
}

std::optional<UnitScale> find_unit(std::string_view unit) {
  const std::string_view wanted = without_brackets(unit);
  constexpr std::size_t longest_unit = 16;
  if (wanted.empty() || wanted.size() > longest_unit) {
    return std::nullopt;
  }
  const std::string folded = lower_ascii(wanted);
  std::optional<UnitScale> found;
  bool ambiguous = false;
  for (const UnitSpelling& spelling : unit_table()) {
    if (spelling.text == wanted) {
      return spelling.scale;
    }
    if (spelling.text.size() == folded.size() && lower_ascii(spelling.text) == folded) {
      ambiguous = ambiguous || (found && *found != spelling.scale);
      found = spelling.scale;
    }
  }
  return ambiguous ? std::nullopt : found;
}

bool is_step_unit(std::string_view unit) {
  const std::string word = lower_ascii(without_brackets(unit));
  return word == "step" || word == "steps" || word == "microsteps";
}

double parse_quantity(std::string_view text, Dimension wanted) {
  const Parsed parsed = parse_with_unit(text, wanted);
  return parsed.number * parsed.scale.factor + parsed.scale.offset;
}

double parse_difference(std::string_view text, Dimension wanted) {
  const Parsed parsed = parse_with_unit(text, wanted);
  return parsed.number * parsed.scale.factor;
}

double parse_force(std::string_view text, double gravity_m_s2) {
  const Parsed parsed = parse_with_unit(text, Dimension::force);
  const double force_n = parsed.number * parsed.scale.factor;
  return parsed.scale.is_mass ? force_n * (gravity_m_s2 / standard_gravity_m_s2) : force_n;
}

std::string accepted_units(Dimension dimension) {
  std::string names;
  for (const UnitSpelling& unit : unit_table()) {
    if (unit.shown && unit.scale.dimension == dimension) {
      names += (names.empty() ? "" : ", ") + std::string(unit.text);
    }
  }
  return names;
}

}  // namespace sweepflux
