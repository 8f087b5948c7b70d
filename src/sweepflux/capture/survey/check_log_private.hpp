#pragma once

#include "sweepflux/base/findings_private.hpp"
#include "sweepflux/capture/log/read_log.hpp"
#include "sweepflux/capture/survey/survey_sections_private.hpp"

namespace sweepflux {

/// Looks at the opening of a log that a [[sweep]] names, so that a slip in its columns or its place
/// is reported together with all others, before the long reading begins.
void check_log(const SweepRequest& request, const Rig& rig, Findings& findings);

}  // namespace sweepflux
