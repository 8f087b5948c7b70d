#pragma once

#include "sweepflux/capture/survey/survey.hpp"

#include <optional>
#include <string>
#include <vector>

namespace sweepflux {

/// What can be said of the stream in a plane before any sweep.
struct StreamGuess {
  double distance_m = 0.0;  ///< as in a sweep
  double downstream_m = 0.0;
  double peak_m_s = 0.0;
  double half_width_y_m = 0.0;
  double half_width_z_m = 0.0;
  double centre_y_m = 0.0;
  double centre_height_m = 0.0;
};

/// Round or slot jet from the outlet and a rough speed or thrust: half width as the model's prior
/// expects it (expected_half_width_m), a slot as long as it is until the jet has grown to that;
/// peak from the momentum, U = 5.8 sqrt(4 T / (pi rho)) / x [Hussein 1994], never above the
/// outlet's. With neither speed nor thrust: 3 m/s at the first plane (common practice, no published
/// source).
[[nodiscard]] StreamGuess guess_stream(const Survey& survey, double distance_m);

/// Distances worth a plane, with the reasons in words: five outlet widths if the room and the
/// probe's head allow, then half as far again for each further one.
struct ProposedDistances {
  std::vector<double> distances_m;
  std::vector<std::string> reasons;
};

/// @throws NumericalError  no distance is worth a sweep: the room is too small for this outlet
[[nodiscard]] ProposedDistances propose_distances(const Survey& survey, std::size_t count);

/// Distances of a plan before any sweep: those under [plan], else one is proposed, two where there
/// is time for more than 2.6 hours.
///
/// @throws NumericalError  as propose_distances
[[nodiscard]] ProposedDistances planned_distances(const Survey& survey,
                                                  std::optional<double> budget_s);

/// Warnings for a distance that the user wished: nearness, room, head, walls.
[[nodiscard]] std::vector<std::string> distance_caveats(const Survey& survey,
                                                        const StreamGuess& guess);

/// Heights that a sweep may take: the user's limits, floor and ceiling with a head's room, and no
/// more than `reach` half widths from the centre.
struct HeightRange {
  double low_m = 0.0;
  double high_m = 0.0;
};
[[nodiscard]] HeightRange possible_heights(const Survey& survey,
                                           const StreamGuess& guess,
                                           double reach);

}  // namespace sweepflux
