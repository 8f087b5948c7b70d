#pragma once

#include "tool/command.hpp"

#include <vector>

namespace sweepflux::tool {

/// `new DIR`: a commented survey to start from, with a small example sweep.
[[nodiscard]] Command make_new_command();

/// `plan SURVEY.toml`: which sweeps to make, before the first and after each one.
[[nodiscard]] Command make_plan_command();

/// `follow SOURCE`: reduces a log while the rig runs, shows it, and ends with the sweep written,
/// the plane's result so far, and the best next sweep.
[[nodiscard]] Command make_follow_command();

/// `reduce LOG...`: raw time series to sweeps that `map` reads, or a balance's log to thrust.
[[nodiscard]] Command make_reduce_command();

/// `map SURVEY.toml`: readings to plane maps, flow, momentum and power, and the summary against
/// the balance.
[[nodiscard]] Command make_map_command();

/// `thrust SESSION.toml`: a session at the balance to thrust per setting and per watt.
[[nodiscard]] Command make_thrust_command();

/// `compare DIR...`: fans and settings side by side: rankings, differences, equal thrust, throw.
[[nodiscard]] Command make_compare_command();

/// All verbs, in the order in which the help lists them: that of a day at the rig.
[[nodiscard]] std::vector<Command> all_commands();

}  // namespace sweepflux::tool
