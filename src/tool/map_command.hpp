#pragma once

#include "tool/command.hpp"

namespace sweepflux::tool {

/// `map SURVEY.toml`: readings to plane maps, flow, momentum and power, and the verdict against
/// the balance.
[[nodiscard]] Command add_map_command(CLI::App& program);

}  // namespace sweepflux::tool
