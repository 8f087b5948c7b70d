#pragma once

#include "tool/command.hpp"

#include <span>

namespace sweepflux::tool {

/// All verbs, in the order in which the help lists them: that of a day at the rig.
[[nodiscard]] std::span<const AddCommand> all_commands();

}  // namespace sweepflux::tool
