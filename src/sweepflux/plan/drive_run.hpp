#pragma once

#include "sweepflux/plan/schedule.hpp"

#include <string>
#include <vector>

namespace sweepflux {

/// One stop as the rig is driven: times since the start of the run.
struct DriveStop {
  double position = 0.0;  ///< as recorded, [rad] or [m], rounded to what is set on a rig
  double start_s = 0.0;   ///< the rig is commanded there
  double move_s = 0.0;    ///< it is on its way, by the feed
  double settle_s = 0.0;  ///< after the move
  double dwell_s = 0.0;
};

/// One sweep as the rig is driven, from its zero and back to it.
struct DriveRun {
  double home = 0.0;    ///< [rad] or [m]: where the run begins and ends
  double run_up = 0.0;  ///< it first goes here, so that every stop is reached from one side
  std::vector<DriveStop> stops;
  double seconds = 0.0;  ///< all of it
};

/// The run of a planned sweep, checked dry: nothing of it leaves the limits of the rig.
///
/// Positions are multiples of 0.01 degrees or 0.1 mm; the run-up is 2 degrees or 20 mm where the
/// limits leave room. Moves last distance / feed; what the rig needs to speed up belongs to the
/// settling.
///
/// @throws InputError  a position is beyond the limits
[[nodiscard]] DriveRun drive_run(const Rig& rig, const PlannedSweep& sweep);

/// A position in whole steps of the motor, from that of position 0.
[[nodiscard]] long motor_steps(const Drive& drive, double position);

}  // namespace sweepflux
