#pragma once

#include "tool/command.hpp"

namespace sweepflux::tool {

/// `reduce LOG...`: raw time series to sweeps that `map` reads, or a balance's log to thrust.
[[nodiscard]] Command make_reduce_command();

}  // namespace sweepflux::tool
