#pragma once

#include "tool/command.hpp"

namespace sweepflux::tool {

/// `follow SOURCE`: reduces a log while the rig runs, shows it, and ends with the sweep written,
/// the plane's result so far, and the best next sweep.
[[nodiscard]] Command make_follow_command();

}  // namespace sweepflux::tool
