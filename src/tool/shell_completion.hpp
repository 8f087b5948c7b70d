#pragma once

#include <CLI/CLI.hpp>

#include <string>

namespace sweepflux::tool {

/// A bash script that completes verbs, options, files and folders of a program that is set up.
[[nodiscard]] std::string bash_completion(const CLI::App& program);

}  // namespace sweepflux::tool
