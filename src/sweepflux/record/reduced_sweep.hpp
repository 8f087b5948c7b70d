#pragma once

#include "sweepflux/derive/log/reduce_log.hpp"
#include "sweepflux/derive/thrust/scale_log.hpp"

#include <string>

namespace sweepflux {

/// A reduced log as a sweep's CSV, which `map` reads: `#` lines with the raw file, the settings
/// and all warnings, then a row a reading, traced to the raw file's lines. Angles in degrees.
[[nodiscard]] std::string reduced_sweep_csv(const ReducedLog& reduced);

/// The same as JSON, SI with the unit in the key; numbers that are not known are null.
[[nodiscard]] std::string reduced_json(const ReducedLog& reduced);

/// A balance log, reduced: a row a plateau and the thrust of each setting, as CSV and as JSON.
[[nodiscard]] std::string scale_csv(const ScaleLog& log);
[[nodiscard]] std::string scale_json(const ScaleLog& log);

}  // namespace sweepflux
