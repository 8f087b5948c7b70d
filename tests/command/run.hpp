#pragma once

#include "tests/support/process.hpp"

#include <string>
#include <vector>

namespace sweepflux::test {

/// Runs the program that was built.
inline ProcessResult run(const std::vector<std::string>& arguments,
                         const ProcessOptions& options = {}) {
  return run_process(SWEEPFLUX_PROGRAM, arguments, options);
}

}  // namespace sweepflux::test
