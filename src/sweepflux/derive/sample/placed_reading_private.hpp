#pragma once

#include "sweepflux/derive/sample/probe.hpp"
#include "sweepflux/derive/sample/samples.hpp"

#include <string>
#include <vector>

namespace sweepflux {

/// A reading after calibration and ambient speed, with its way onto the plane. Speeds are still
/// those along the probe, so that the noise can be found where it was made.
struct PlacedReading {
  double position = 0.0;   ///< along the sweep, rising with y: minus the turn [rad], or y [m]
  double speed_m_s = 0.0;  ///< along the probe; the limit when censored
  double stated_error_m_s = 0.0;
  double slope = 1.0;     ///< of the calibration
  double to_plane = 1.0;  ///< factor from speed_m_s to the axial speed on the plane
  double sideways = 0.0;  ///< see Sample
  double repeats = 1.0;   ///< readings that were averaged
  bool censored = false;
  PlanePoint at;
  std::size_t line = 0;
};

struct CorrectedSweep {
  PlacedSweep placed;
  std::vector<PlacedReading> readings;  ///< positions rise strictly
};

/// Corrects one sweep and merges its repeats. Faults and remarks are added to the lists.
[[nodiscard]] CorrectedSweep correct_sweep(const Survey& survey,
                                           const Sweep& sweep,
                                           double downstream_m,
                                           std::vector<std::string>& remarks,
                                           std::vector<std::string>& faults);

}  // namespace sweepflux
