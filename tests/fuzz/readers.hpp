#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace sweepflux::test {

/// The readers that are fuzzed: survey, sweep, log, steps, session, summary.
[[nodiscard]] const std::vector<std::string>& reader_names();

/// Hands bytes to one reader and holds it to its promises: it returns, or throws an Error with
/// one clear line a fault; what it returns is finite; nothing read is lost.
///
/// @throws std::logic_error  a promise is broken (or whatever else the reader let escape)
void try_reader(std::string_view reader, std::string_view bytes);

}  // namespace sweepflux::test
