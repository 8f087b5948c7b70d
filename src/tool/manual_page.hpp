#pragma once

#include <CLI/CLI.hpp>

#include <string>

namespace sweepflux::tool {

/// The manual page (roff, section 1) of a program that is set up: the words of its `--help` and of
/// every verb's, in the form that `man` reads.
///
/// @param version  "sweepflux 0.1.0", for the foot of the page
[[nodiscard]] std::string manual_page(const CLI::App& program, const std::string& version);

}  // namespace sweepflux::tool
