#pragma once

#include "sweepflux/plan/prospect_private.hpp"

#include <string>
#include <vector>

namespace sweepflux {

inline constexpr double coverage = 1.96;  ///< half of a 95 % interval over the standard uncertainty

/// "momentum flux", "flow", "the map (momentum flux shown)".
[[nodiscard]] std::string target_name(PlanTarget of);

/// "45 minutes", rounded up.
[[nodiscard]] std::string minutes_text(double minutes);

/// Half of a 95 % interval by its standard uncertainty: "+-5.1 %", "more than 100 %".
[[nodiscard]] std::string interval_text(double share);

/// What holds the target in a plane where it is, largest first, with sizes and what helps: "the
/// probe's scale 4 %, ...".
[[nodiscard]] std::string what_holds(const PlanPlane& plane,
                                     const Prospect& prospect,
                                     std::size_t index,
                                     PlanTarget of);

/// Why these distances, and notes on them.
[[nodiscard]] std::vector<std::string> plan_reasons(const Survey& survey,
                                                    const std::vector<PlanPlane>& planes,
                                                    const PlanOptions& options);
[[nodiscard]] std::vector<std::string> plan_caveats(const Survey& survey,
                                                    const std::vector<PlanPlane>& planes);

}  // namespace sweepflux
