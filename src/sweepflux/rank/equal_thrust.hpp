#pragma once

#include "sweepflux/rank/fan_at_setting.hpp"

#include <span>
#include <string>
#include <vector>

namespace sweepflux {

/// How the thrust of one setting of a fan is met by another fan.
enum class ThrustMatch {
  between,    ///< a setting of the other fan has the thrust of much
  below_all,  ///< the other fan has more thrust even at its lowest setting
  above_all,  ///< the other fan has less thrust even at its highest setting
  several     ///< the other fan's thrust rises and falls: more than one setting would do
};

/// "heron at 6 has the thrust of teal at 9.1 +- 0.3".
struct EqualThrust {
  std::string fan;
  std::string setting;  ///< as written
  Estimate thrust_n;
  std::string other;
  ThrustMatch match = ThrustMatch::between;
  Estimate other_setting;       ///< `between` only; on the scale of the other fan's settings
  bool steps = false;       ///< the other fan's settings are whole numbers: a switch with steps
  std::string step_below;   ///< `between`: the measured settings on both sides
  std::string step_above;
  std::string nearest_written;  ///< the other fan's own setting that comes nearest in thrust
  bool nearest_equal = false;    ///< ... and does not differ from it at 95 %
  std::string words;            ///< the sentence
};

/// For each setting of `fan` the setting of `other` of equal thrust. Between two measured
/// settings the square root of the thrust is taken as a straight line in the setting, because the
/// thrust goes with the square of the fan's speed. The uncertainty holds both fans' thrust at that place
/// and, as a rectangular distribution, the gap to a straight line in the thrust itself.
/// Settings that are no numbers cannot be interpolated and are left to the nearest written one:
/// their fans give no `between`.
///
/// @param entries       of all fans; those without a thrust are passed over
/// @param same_balance  the lever's error is common to both fans and cancels
[[nodiscard]] std::vector<EqualThrust> equal_thrust_of(std::span<const FanAtSetting> entries,
                                                const std::string& fan,
                                                const std::string& other,
                                                bool same_balance);

}  // namespace sweepflux
