#pragma once

#include "sweepflux/derive/log/reduce_log.hpp"
#include "sweepflux/derive/thrust/scale_log.hpp"

#include <filesystem>
#include <set>
#include <string>

namespace sweepflux::tool {

/// A reduced log for a person: a table of readings, then what was found and what to look at.
[[nodiscard]] std::string reduced_text(const ReducedLog& reduced);

/// The same without the table: remarks, and one line a kind of warning.
[[nodiscard]] std::string reduced_notes(const ReducedLog& reduced);

[[nodiscard]] std::string scale_text(const ScaleLog& log);

/// Name of a log's table, such as near.csv to near-sweep.csv; logs of one name get numbers.
[[nodiscard]] std::string table_name(const std::filesystem::path& log,
                                     const char* tail,
                                     std::set<std::string>& used);

/// "   -12.00" and the like: a number right-aligned with so many decimals.
[[nodiscard]] std::string aligned(double value, int width, int decimals);

/// The same of a standard error: one that these decimals would show as zero is "<0.001".
[[nodiscard]] std::string aligned_error(double standard_error, int width, int decimals);

}  // namespace sweepflux::tool
