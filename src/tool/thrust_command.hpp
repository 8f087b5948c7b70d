#pragma once

#include "tool/command.hpp"

namespace sweepflux::tool {

/// `thrust SESSION.toml`: a session at the balance to thrust per setting and per watt.
[[nodiscard]] Command make_thrust_command();

}  // namespace sweepflux::tool
