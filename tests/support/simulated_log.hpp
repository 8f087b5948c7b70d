#pragma once

#include "sweepflux/capture/log/read_log.hpp"

#include <cstdint>
#include <string>
#include <vector>

namespace sweepflux::test {

/// A rig that is known to the last digit: Gaussian stream, exponentially correlated turbulence,
/// first-order sensor. Angles in degrees here, so that tests read well.
struct SimulatedRig {
  double peak_m_s = 3.0;
  double centre_deg = 1.0;
  double sigma_deg = 6.0;
  double floor_m_s = 0.0;   ///< added everywhere
  double turbulence = 0.1;  ///< of the local mean
  double integral_time_s = 0.05;
  double sensor_time_constant_s = 0.0;
  double rate_hz = 100.0;
  double drift_per_hour = 0.0;  ///< relative
  double backlash_deg = 0.0;    ///< the fan lags the stepper by this on either way
  double start_deg = -20.0;
  double step_deg = 2.0;
  int stops = 21;
  bool there_and_back = false;
  double move_s = 0.3;        ///< travel from stop to stop, at constant rate
  double rest_s = 6.0;        ///< after the move, settling included
  double rest_scatter = 0.0;  ///< of the logarithm of its length, as of a rig turned by hand
  double lead_s = 0.0;        ///< logged before the sweep, at the first stop
  double resolution_m_s = 0.001;
  std::uint64_t seed = 1;

  [[nodiscard]] double true_speed(double angle_deg) const;
  /// Stop-and-go; the angle column shows the stepper's target from the moment it is commanded to move.
  [[nodiscard]] std::vector<LogSample> stop_and_go() const;
  /// Without stopping, from start to the last stop and back, `ways` times, at a constant rate.
  [[nodiscard]] std::vector<LogSample> continuous(double rate_deg_s, int ways) const;
};

/// `time [s],angle [deg],speed [m/s]` with a row a sample; line numbers agree with the samples'.
[[nodiscard]] std::string log_text(const std::vector<LogSample>& samples, bool with_angle = true);

}  // namespace sweepflux::test
