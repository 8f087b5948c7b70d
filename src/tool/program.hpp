#pragma once

#include "tool/command.hpp"

#include <cstdio>
#include <string>
#include <vector>

namespace sweepflux::tool {

/// How the program ends.
enum ExitCode {
  done = 0,
  failed = 1,     ///< the machine said no: disk full, no permission; or a mistake of ours
  bad_input = 2,  ///< the input or the usage is at fault
  no_answer = 3,  ///< legal input without an answer
  stopped = 128   ///< plus the number of the signal: 130 for Ctrl-C
};

/// Reads a command line, runs its verb, and turns what went wrong into lines on `err`.
///
/// @param arguments  without the program's name
/// @return the exit code
[[nodiscard]] int run_program(std::vector<std::string> arguments,
                              const std::vector<Command>& commands,
                              std::FILE* out,
                              std::FILE* err);

/// "sweepflux 0.1.0" and the libraries that it was built with, one a line.
[[nodiscard]] std::string version_text();

}  // namespace sweepflux::tool
