#pragma once

#include "sweepflux/capture/survey/session.hpp"

#include <filesystem>

namespace sweepflux {

/// Reads a session at the balance: one TOML file. Logs that it names are not looked at yet
/// [reduce_session_logs].
///
/// ```toml
/// [session]
/// title = "Herb loft, three fans on the balance"
///
/// [air]                            # optional, as in a survey: for throw and derived flow
/// [room]                           # optional, as in a survey
///
/// [balance]
/// fan_arm   = "0.412 m"            # pivot to the fan's axis
/// scale_arm = "0.300 m"            # pivot to the scale
/// arm_uncertainty = "1 mm"         # of each arm
/// # lever_ratio = 1.0              # instead of the arms: scale force / thrust
/// # lever_ratio_uncertainty = "0.5 %"
/// resolution = "1 g"
/// # gravity = "9.81 m/s2"          # of the place; standard gravity if not said
///
/// # [balance.check]                # instead of any of these: a mass hung in the line of the thrust
/// # mass = "100 g"
/// # mass_uncertainty = "0.05 g"
/// # zero_before = "0 g"
/// # readings = ["137 g", "138 g"]
/// # zero_after = "0 g"
///
/// [[fan]]                          # optional: what is known of a fan
/// name = "heron"
/// outlet_diameter = "0.40 m"       # or outlet_width and outlet_height of a slot
///
/// [[reading]]                      # fan off, on, off
/// fan = "heron"
/// setting = "3"
/// power = "41 W"                   # optional
/// power_uncertainty = "1 W"        # optional
/// zero_before = "0 g"
/// readings = ["96 g", "98 g", "97 g"]
/// zero_after = "1 g"               # may be left out: then the next block's zero_before
///
/// [[reading]]                      # or from a log of the scale: zeros and readings are found in it
/// fan = "heron"
/// log = "scale.csv"                # a block a setting, as its label column says; or file =, a
/// # setting = "3"                  # table of `reduce --scale`; only this setting of it
/// # sequence = ["off", "1", "off"] # what happened, where no column says it; also columns,
/// # settle = "5 s"                 # time_column, value_column, label_column, time_unit, ...
/// ```
/// A zero between two blocks need be written once: what one block leaves out is taken from its
/// neighbour.
///
/// @throws SurveyError  with *every* fault found, by line
[[nodiscard]] BalanceSession read_session(const std::filesystem::path& session_file);

}  // namespace sweepflux
