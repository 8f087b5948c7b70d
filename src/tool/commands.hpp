#pragma once

#include "tool/command.hpp"

#include <vector>

namespace sweepflux::tool {

/// All verbs, in the order in which the help lists them: that of a day at the rig.
[[nodiscard]] std::vector<Command> all_commands();

}  // namespace sweepflux::tool
