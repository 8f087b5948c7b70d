#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace sweepflux {

/// What a quantity measures.
enum class Dimension {
  none, length, angle, speed, time, pressure, temperature, force, power, ratio, acceleration,
  volume_flow
};

/// A number as it stands in text: the whole text must be consumed, never locale-dependent.
/// One leading `+` is allowed; `D` exponents, hexadecimal and digit separators are refused.
[[nodiscard]] std::optional<double> parse_number(std::string_view text, char decimal_mark = '.');

/// A unit's meaning: value in SI = number * factor + offset.
struct UnitScale {
  Dimension dimension = Dimension::none;
  double factor = 1.0;
  double offset = 0.0;  ///< only temperatures have one
};

/// Looks a unit up ("ft/min", "degC", "gf", ...). Masses are accepted as forces (standard gravity).
[[nodiscard]] std::optional<UnitScale> find_unit(std::string_view unit);

/// "1.5 m" -> 1.5 with dimension length, in SI.
///
/// @throws InputError  no number, no unit, unknown unit (nearest named), or wrong dimension
[[nodiscard]] double parse_quantity(std::string_view text, Dimension wanted);

/// Units accepted for a dimension, as "m/s, km/h, ft/min, mph, kn", for messages.
[[nodiscard]] std::string accepted_units(Dimension dimension);

/// A number with so many significant digits as its uncertainty deserves ("0.613 +- 0.031 m3/s").
[[nodiscard]] std::string format_with_uncertainty(double value, double standard_uncertainty,
                                                  std::string_view unit);

/// A number with `digits` significant digits, no trailing noise, never locale-dependent.
[[nodiscard]] std::string format_number(double value, int digits = 4);

}  // namespace sweepflux
