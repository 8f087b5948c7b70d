#pragma once

#include "sweepflux/derive/thrust/session_thrust.hpp"
#include "sweepflux/rank/compare.hpp"

#include <string>

namespace sweepflux {

/// Every number of a comparison, one a row: fan, setting, quantity, downstream_m, value,
/// standard_uncertainty, low_95, high_95, unit, how (measured, derived, predicted), source. A
/// variant stands with its fan: "heron, filter out". Tidy:
/// a spreadsheet's filter or a data frame can take it as it is. A value that is not known has no
/// row; a number that does not apply is an empty cell. Comma between cells, point in numbers;
/// names as text_cell writes them.
[[nodiscard]] std::string comparison_csv(const Comparison& comparison);

/// The same and more as JSON: entries, rankings with places, equal thrust, growth, throw,
/// summary, warnings. SI, the unit in the key or beside the value.
[[nodiscard]] std::string comparison_json(const Comparison& comparison);

/// A session's result as JSON: lever, a block a setting (thrust in newtons and grams-force, watts,
/// thrust per watt, repeats, zeros), and the comparison that follows from it.
[[nodiscard]] std::string session_json(const BalanceSession& session,
                                       const SessionThrust& thrust,
                                       const Comparison& comparison);

/// A row a setting: fan, setting, repeats, readings, thrust [N] and [gf] with uncertainty and
/// interval, power [W], thrust per watt, largest move of the zero.
[[nodiscard]] std::string session_csv(const SessionThrust& thrust);

}  // namespace sweepflux
