#pragma once

#include "sweepflux/plan/drive_run.hpp"

#include <span>
#include <string>

namespace sweepflux {

/// A schedule as JSON: order, distance_m, height_m, angles_deg (or across_m on a rail), minutes,
/// elapsed_minutes, momentum_uncertainty_after_n, flow_uncertainty_after_m3_s of each sweep, and
/// stop, stalls, why, reasons, caveats. Uncertainties are standard, shares relative.
[[nodiscard]] std::string plan_json(const Survey& survey, const Schedule& schedule);

/// A row a sweep.
[[nodiscard]] std::string plan_csv(const Schedule& schedule);

/// A planned sweep and its run.
struct DrivenSweep {
  PlannedSweep sweep;
  DriveRun run;
};

/// A row a stop of the rig, in the order in which it is driven: sweep, distance_m, height_m,
/// angle_deg or across_m, time_s since the run of that sweep began, settle_s with the move in it,
/// dwell_s. `reduce --steps` reads it.
[[nodiscard]] std::string steps_csv(const Rig& rig, std::span<const DrivenSweep> sweeps);

/// The same in whole steps of the motor: a row a move, also those of run-up and return.
[[nodiscard]] std::string motor_steps_csv(const Rig& rig, std::span<const DrivenSweep> sweeps);

/// One sweep as a program in the words of ISO 6983-1 (G1, G4, G90, G94, M30; from memory): degrees
/// for a turning axis, millimetres for a sliding one, feed per minute; cautions, limits and the
/// estimated time in its head.
[[nodiscard]] std::string drive_program(const Survey& survey, const DrivenSweep& driven);

/// "sweep-1.nc".
[[nodiscard]] std::string drive_program_name(const PlannedSweep& sweep);

}  // namespace sweepflux
