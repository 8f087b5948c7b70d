#pragma once

#include "sweepflux/plan/schedule.hpp"

#include <string>

namespace sweepflux::tool {

/// A schedule for a person: why, a table, what the stops save, caveats, cautions for the rig.
[[nodiscard]] std::string plan_text(const Survey& survey, const Schedule& schedule);

/// For whoever goes to the rig with it; once, however many settings are planned.
[[nodiscard]] std::string plan_cautions();

}  // namespace sweepflux::tool
