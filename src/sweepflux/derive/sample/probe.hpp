#pragma once

#include "sweepflux/capture/survey/survey.hpp"

#include <utility>
#include <vector>

namespace sweepflux {

/// Turns what the probe shows into what the air does, by its calibration table: straight lines
/// between the pairs, the end pieces prolonged. No table: the indication is the speed.
class Calibration {
 public:
  /// @param pairs  (true, indicated) [m/s], as in Probe; empty or at least two
  /// @throws InputError  one pair alone, or true or indicated values that do not rise
  explicit Calibration(std::vector<std::pair<double, double>> pairs);

  /// Speed [m/s]. A probe that shows no reversal is never turned into one: >= 0 for >= 0.
  [[nodiscard]] double speed_m_s(double indicated_m_s) const;

  /// Change of speed by change of indication, > 0.
  [[nodiscard]] double slope(double indicated_m_s) const;

 private:
  [[nodiscard]] std::size_t piece(double indicated_m_s) const;

  std::vector<std::pair<double, double>> pairs_;
};

/// Axial speed / speed along the probe, for flow along the fan's axis: 1 / cos(yaw) for a cosine
/// response, 1 for a flat one.
///
/// The flow is taken as parallel to the fan's axis on purpose: entrainment turns the core's flow
/// by half of the ray's angle only and the flow of the outer region inwards, so dividing by the cosine of the
/// ray's angle does worse (tests/derive/samples_test.cpp).
[[nodiscard]] double yaw_correction(Response response, double yaw_rad);

/// Whether a corrected speed is too low for the probe to tell. Never when no starting speed is
/// given; a reversal stronger than the starting speed is a reading.
[[nodiscard]] bool below_start(const Probe& probe, double speed_m_s);

}  // namespace sweepflux
