#pragma once

#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/thrust/session_thrust.hpp"
#include "sweepflux/rank/compare.hpp"

#include <span>
#include <string>
#include <vector>

namespace sweepflux::tool {

/// What `compare` says to a person: the summary, then a line a setting, then what was left out.
[[nodiscard]] std::string comparison_text(const Comparison& comparison,
                                          std::span<const std::string> remarks);

/// What `thrust` says to a person: a table of newtons, grams-force and newtons per watt, what the
/// lever rests on, then the summary.
[[nodiscard]] std::string session_text(const BalanceSession& session,
                                       const SessionThrust& thrust,
                                       const Comparison& comparison);

/// Quantities such as "2 m", "80 in", each above zero.
/// @param option  for the message
/// @throws InputError  as parse_quantity, with the option named; all that are wrong at once
[[nodiscard]] std::vector<double> quantities_of(const std::string& option,
                                                std::span<const std::string> texts,
                                                Dimension dimension);
[[nodiscard]] std::vector<double> lengths_of(const std::string& option,
                                             std::span<const std::string> texts);
[[nodiscard]] std::vector<double> speeds_of(const std::string& option,
                                            std::span<const std::string> texts);

}  // namespace sweepflux::tool
