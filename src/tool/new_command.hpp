#pragma once

#include "tool/command.hpp"

namespace sweepflux::tool {

/// `new DIR`: a commented survey to start from, with a small example sweep.
[[nodiscard]] Command add_new_command(CLI::App& program);

}  // namespace sweepflux::tool
