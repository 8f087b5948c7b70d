#pragma once

#include "sweepflux/capture/survey/survey.hpp"

#include <cstddef>

namespace sweepflux {

/// One stop of the rig within a sweep.
struct Stop {
  double angle_rad = 0.0;  ///< swivel; traverse: see across_m
  double across_m = 0.0;   ///< traverse
  double settle_s = 0.0;
  double dwell_s = 0.0;
};

/// What happens before a sweep.
enum class Change { none, height, distance };

/// Minutes that a sweep costs: the change before it, for each stop a step, the settling and the
/// dwell, and at last the return with its backlash taken up. The rig's times come from the survey
/// ([rig] step_time, settle_time, dwell_time, return_time, height_change_time,
/// distance_change_time); README says how to time them once.
[[nodiscard]] double sweep_minutes(const Rig& rig, const std::vector<Stop>& stops, Change change);

}  // namespace sweepflux
