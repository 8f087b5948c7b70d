#pragma once

#include "tool/command.hpp"

namespace sweepflux::tool {

/// `new DIR`: a commented survey to start from, with a small example sweep.
[[nodiscard]] Command make_new_command();

}  // namespace sweepflux::tool
