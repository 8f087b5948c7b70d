#pragma once

#include "tests/bench/support/simulated_day.hpp"

namespace sweepflux::bench {

/// Heights at the centres of equal cells between the stand's limits, from the middle outwards.
[[nodiscard]] NamedStrategy even_heights();

/// Heights anywhere between the limits.
[[nodiscard]] NamedStrategy random_heights();

/// By name, of all that there are.
///
/// @throws InputError  unknown; the message lists the names
[[nodiscard]] NamedStrategy strategy_from(const std::string& name);

}  // namespace sweepflux::bench
