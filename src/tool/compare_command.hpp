#pragma once

#include "tool/command.hpp"

namespace sweepflux::tool {

/// `compare DIR...`: fans and settings side by side: rankings, ties, equal pushes, reach.
[[nodiscard]] Command add_compare_command(CLI::App& program);

}  // namespace sweepflux::tool
