#pragma once

#include "sweepflux/plan/schedule.hpp"
#include "sweepflux/record/folder.hpp"

#include <string>

namespace sweepflux::tool {

/// A schedule for a person: why, a table, what the stops save, caveats, cautions for the rig.
[[nodiscard]] std::string plan_text(const Survey& survey, const Schedule& schedule);

/// For whoever goes to the rig with it; once, however many settings are planned.
[[nodiscard]] std::string plan_cautions();

/// What drives the rig through a plan: steps.csv, one program sweep-<order>.nc a sweep, and
/// motor-steps.csv where the survey states the motor's step. Every sweep is run dry before.
///
/// @return the dry run in a line or two
/// @throws InputError  a sweep would leave the rig's limits
[[nodiscard]] std::string add_drive_files(const Survey& survey,
                                          const Schedule& schedule,
                                          ResultFolder& folder);

}  // namespace sweepflux::tool
