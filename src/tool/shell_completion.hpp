#pragma once

#include "tool/command.hpp"

#include <string>
#include <vector>

namespace sweepflux::tool {

/// A bash script that completes verbs, options, files and folders of the program.
[[nodiscard]] std::string bash_completion(const std::vector<Command>& commands);

}  // namespace sweepflux::tool
