#pragma once

#include "sweepflux/plan/schedule.hpp"

#include <string>

namespace sweepflux {

/// A schedule as JSON: order, distance_m, height_m, angles_deg (or across_m on a rail), minutes,
/// elapsed_minutes, momentum_uncertainty_after_n, flow_uncertainty_after_m3_s of each sweep, and
/// stop, stalls, why, reasons, caveats. Uncertainties are standard, shares relative.
[[nodiscard]] std::string plan_json(const Survey& survey, const Schedule& schedule);

/// A row a sweep.
[[nodiscard]] std::string plan_csv(const Schedule& schedule);

}  // namespace sweepflux
