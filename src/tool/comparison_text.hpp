#pragma once

#include "sweepflux/derive/thrust/session_thrust.hpp"
#include "sweepflux/rank/compare.hpp"

#include <string>

namespace sweepflux::tool {

/// What `compare` says to a person: the summary, then a line a setting, then what was left out.
[[nodiscard]] std::string comparison_text(const Comparison& comparison);

/// What `thrust` says to a person: a table of newtons, grams-force and newtons per watt, what the
/// lever rests on, then the summary.
[[nodiscard]] std::string session_text(const BalanceSession& session,
                                       const SessionThrust& thrust,
                                       const Comparison& comparison);

}  // namespace sweepflux::tool
