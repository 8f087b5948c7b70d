#pragma once

#include <string>

namespace sweepflux {

/// What `sweepflux new` made, as JSON: under its kind, `survey`, `session` or `campaign`, the path
/// of the file, and under `sweeps` a list with that of its one sweep, where it has one.
[[nodiscard]] std::string new_start_json(const std::string& kind,
                                         const std::string& file,
                                         const std::string& sweep);

}  // namespace sweepflux
