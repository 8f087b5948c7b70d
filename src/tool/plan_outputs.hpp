#pragma once

#include "sweepflux/plan/schedule.hpp"
#include "sweepflux/record/folder.hpp"

#include <string>

namespace sweepflux::tool {

/// What drives the rig through a plan: steps.csv, one program sweep-<order>.nc a sweep, and
/// motor-steps.csv where the survey states the motor's step. Every sweep is run dry before.
///
/// @return the dry run in a line or two
/// @throws InputError  a sweep would leave the rig's limits
[[nodiscard]] std::string add_drive_files(const Survey& survey,
                                          const Schedule& schedule,
                                          ResultFolder& folder);

}  // namespace sweepflux::tool
