#pragma once

#include "sweepflux/base/finding.hpp"
#include "sweepflux/capture/survey/survey.hpp"
#include "sweepflux/capture/survey/survey_sections_private.hpp"

#include <string>
#include <vector>

namespace sweepflux {

/// A sweep, with what sets it apart from others of its file.
struct NamedSweep {
  Sweep sweep;
  std::string tail;  ///< " 3", " at 0.92 m", " part 2", or nothing
};

struct SweepFileResult {
  std::vector<NamedSweep> sweeps;
  std::vector<std::string> other_labels;  ///< in the `sweep` column, not asked for here
};

/// Reads what one [[sweep]] asks for: one sweep, or as many as its file holds apart by the columns
/// sweep, distance and height, and by a heading that comes again.
[[nodiscard]] SweepFileResult read_sweep_file(const SweepRequest& request,
                                              const Rig& rig,
                                              const StepSizes& steps,
                                              Findings& findings,
                                              std::vector<Finding>& remarks);

/// Angles that pass from 180 to -180 degrees (or from 360 to 0), made to run on; then whole turns
/// are taken off so that the middle lies within half a turn of `zero_rad`. The order of the
/// readings does not matter.
///
/// @return true when anything was changed
bool unwrap_angles(std::vector<Reading>& readings, double zero_rad);

}  // namespace sweepflux
