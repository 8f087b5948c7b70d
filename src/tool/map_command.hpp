#pragma once

#include "tool/command.hpp"

namespace sweepflux::tool {

/// `map SURVEY.toml`: readings to plane maps, flow, momentum and power, and the summary against
/// the balance.
[[nodiscard]] Command make_map_command();

}  // namespace sweepflux::tool
