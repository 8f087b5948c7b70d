#pragma once

#include "tool/command.hpp"

#include <string>
#include <vector>

namespace sweepflux::tool {

/// The manual page (roff, section 1) of the program: the words of its `--help` and of
/// every verb's, in the form that `man` reads.
///
/// @param version  "sweepflux 0.1.0", for the foot of the page
[[nodiscard]] std::string manual_page(const std::vector<Command>& commands,
                                      const std::string& version);

}  // namespace sweepflux::tool
