#pragma once

#include "tool/command.hpp"

namespace sweepflux::tool {

/// `compare DIR...`: fans and settings side by side: rankings, differences, equal thrust, throw.
[[nodiscard]] Command make_compare_command();

}  // namespace sweepflux::tool
