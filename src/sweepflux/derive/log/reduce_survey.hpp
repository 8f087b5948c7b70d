#pragma once

#include "sweepflux/base/interrupt.hpp"
#include "sweepflux/capture/survey/survey.hpp"
#include "sweepflux/derive/log/reduce_log.hpp"

#include <vector>

namespace sweepflux {

/// What the survey says of one of its logs, as `reduce` would be given it: the probe's starting
/// speed goes along, and a vane's lag is taken for a distance constant unless the log says so.
///
/// @throws SurveyError  its list of stops cannot be read
[[nodiscard]] ReduceSettings reduce_settings(const Survey& survey, const LoggedSweep& log);

/// Reduces every log that the survey names and puts the sweeps where the survey has them. What the
/// reduction found, left out or warns of becomes a remark of the survey, with the log's lines.
///
/// @return the reduced logs, in the order of the survey, whose readings name their lines
/// @throws SurveyError     logs that cannot be read: all faults of all logs at once
/// @throws NumericalError  a log shows no sweep: all such logs at once
/// @throws Interrupted     the user stopped it
std::vector<ReducedLog> reduce_logs(Survey& survey, const Progress& progress = {});

}  // namespace sweepflux
