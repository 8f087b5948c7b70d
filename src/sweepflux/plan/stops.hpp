#pragma once

#include "sweepflux/capture/survey/survey.hpp"

#include <vector>

namespace sweepflux {

/// One stop of the rig within a sweep.
struct Stop {
  double position = 0.0;  ///< as the rig counts it: angle [rad], or across [m] on a traverse
  double settle_s = 0.0;
  double dwell_s = 0.0;
};

/// What happens before a sweep.
enum class Change { none, height, distance };

/// Where the stream is expected in a plane, for laying out stops.
struct ExpectedStream {
  double centre_y_m = 0.0;
  double centre_z_m = 0.0;
  double half_width_y_m = 0.1;
  double half_width_z_m = 0.1;
};

/// Stops of one sweep: about a quarter half-width apart where the profile is steep, half of one in
/// the outer flank, nearly one in the outer region, which is followed to 3.2 half widths; half the
/// dwell outside 1.8 half widths, where the speed is below a tenth and so is what a reading weighs.
/// Positions as the rig counts them (angle zero and sense of the survey), rising; those beyond the
/// rig's limits are left out.
///
/// @throws NumericalError  the limits leave fewer than three
[[nodiscard]] std::vector<Stop> lay_out_stops(const Survey& survey,
                                              double distance_m,
                                              double height_m,
                                              const ExpectedStream& stream);

/// Where a stop lies across the stream, positive to the left.
[[nodiscard]] double across_m(const Survey& survey, double distance_m, const Stop& stop);

/// The same range with the finest step and the full dwell throughout.
[[nodiscard]] std::vector<Stop> even_stops(const Survey& survey,
                                           double distance_m,
                                           const ExpectedStream& stream);

/// Minutes that a sweep costs: the change before it, for each stop a step, the settling and the
/// dwell, and at last the return with its backlash taken up. The rig's times come from the survey
/// ([rig] step_time, settle_time, dwell_time, return_time, height_change_time,
/// distance_change_time); README says how to time them once.
[[nodiscard]] double sweep_minutes(const Rig& rig, const std::vector<Stop>& stops, Change change);

}  // namespace sweepflux
