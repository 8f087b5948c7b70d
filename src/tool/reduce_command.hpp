#pragma once

#include "tool/command.hpp"

namespace sweepflux::tool {

/// `reduce LOG...`: raw time series to sweeps that `map` reads, or a balance's log to thrust.
[[nodiscard]] Command add_reduce_command(CLI::App& program);

}  // namespace sweepflux::tool
