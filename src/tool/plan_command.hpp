#pragma once

#include "tool/command.hpp"

namespace sweepflux::tool {

/// `sweepflux plan`: which sweeps to make, before the first and after each one.
[[nodiscard]] Command add_plan_command(CLI::App& program);

}  // namespace sweepflux::tool
