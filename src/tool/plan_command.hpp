#pragma once

#include "tool/command.hpp"

namespace sweepflux::tool {

/// `sweepflux plan`: which sweeps to make, before the first and after each one.
[[nodiscard]] Command make_plan_command();

}  // namespace sweepflux::tool
