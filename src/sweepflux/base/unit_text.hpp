#pragma once

#include <numbers>
#include <optional>
#include <string>
#include <string_view>

namespace sweepflux {

inline constexpr double degree_rad = std::numbers::pi / 180.0;

/// What a quantity measures.
enum class Dimension {
  none,
  length,
  angle,
  speed,
  time,
  pressure,
  temperature,
  force,
  power,
  ratio,
  acceleration,
  volume_flow,
  angular_speed,
  sound_level
};

/// "a length", "an angle", ... for messages.
[[nodiscard]] std::string_view describe(Dimension dimension);

/// Standard gravity [m/s2], exact [CGPM 1901].
inline constexpr double standard_gravity_m_s2 = 9.80665;

/// No fan blows faster; a speed above it is a slip of unit, or a code for "missing". Common
/// practice, no published source.
inline constexpr double fastest_wind_m_s = 150.0;

/// A number as it stands in text: the whole text must be consumed, never locale-dependent.
/// One leading `+` or a typographic minus (U+2212) is allowed, and a bare leading or trailing
/// decimal mark (`.42`). `D` exponents, hexadecimal, digit separators, infinities, whatever is too
/// large or too small for a double, and integers from 2^53 on (they may lose digits) are refused.
[[nodiscard]] std::optional<double> parse_number(std::string_view text, char decimal_mark = '.');

/// A unit's meaning: value in SI = number * factor + offset.
struct UnitScale {
  Dimension dimension = Dimension::none;
  double factor = 1.0;
  double offset = 0.0;   ///< only temperatures have one
  bool is_mass = false;  ///< a force by standard gravity; for gravity g multiply by g / 9.80665

  friend bool operator==(const UnitScale&, const UnitScale&) = default;
};

/// Looks a unit up ("ft/min", "degC", "gf", "m_s", "\xC2\xB0", ...), blanks and one pair of
/// brackets around it taken off. Masses are accepted as forces (standard gravity). Capital letters
/// matter only where they must (mW, MW). UTF-8 and Latin-1 both work.
[[nodiscard]] std::optional<UnitScale> find_unit(std::string_view unit);

/// True for "step", "steps": a count of a stepper, whose size only the survey can tell.
[[nodiscard]] bool is_step_unit(std::string_view unit);

/// "1.5 m" -> 1.5 with dimension length, in SI.
///
/// @throws InputError  no number, no unit, unknown unit (nearest named), or wrong dimension
[[nodiscard]] double parse_quantity(std::string_view text, Dimension wanted);

/// A difference, such as an uncertainty: "0.5 degC" -> 0.5 K, "0.9 degF" -> 0.5 K.
///
/// @throws InputError  as parse_quantity
[[nodiscard]] double parse_difference(std::string_view text, Dimension wanted);

/// A force at a balance that turns grams into newtons by its own gravity: "96 g" -> 0.096 kg times
/// `gravity_m_s2`; "96 gf" and "0.94 N" do not depend on it.
///
/// @throws InputError  as parse_quantity
[[nodiscard]] double parse_force(std::string_view text, double gravity_m_s2);

/// Units accepted for a dimension, as "m/s, km/h, ft/min, mph, kn", for messages.
[[nodiscard]] std::string accepted_units(Dimension dimension);

/// A number with so many significant digits as its uncertainty deserves ("0.613 +- 0.031 m3/s"):
/// two digits of the uncertainty, and the value to the same place.
[[nodiscard]] std::string format_with_uncertainty(double value,
                                                  double standard_uncertainty,
                                                  std::string_view unit);

/// A number with `digits` significant digits, no trailing noise, never locale-dependent; with 17
/// the shortest text that reads back as the same number.
[[nodiscard]] std::string format_number(double value, int digits = 4);

}  // namespace sweepflux
