#pragma once

#include "sweepflux/capture/survey/survey.hpp"
#include "sweepflux/plan/effort.hpp"

#include <vector>

namespace sweepflux {

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

}  // namespace sweepflux
