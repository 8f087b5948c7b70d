#pragma once

#include "sweepflux/base/geometry.hpp"
#include "sweepflux/capture/survey.hpp"

#include <optional>
#include <string>
#include <vector>

namespace sweepflux {

/// A reading, corrected and placed on the plane of its distance.
struct Sample {
  PlanePoint at;
  double speed_m_s = 0.0;  ///< mean axial speed; when censored, the limit it lies below
  double noise_m_s = 0.0;  ///< standard uncertainty of this reading alone; errors common to all
                           ///< readings (scale, offset, distance, height) are kept apart
  bool censored = false;   ///< under the probe's starting speed: known only to lie in [0, speed_m_s]
  int sweep = 0;           ///< index into PlaneSamples::sweeps
  std::size_t line = 0;    ///< of the sweep's file
};

/// One sweep as it lies in its plane.
struct PlacedSweep {
  std::string name;
  std::filesystem::path file;
  double height_m = 0.0;  ///< nominal
  std::size_t readings = 0;  ///< that became samples
  std::size_t left_out = 0;  ///< that did not
};

/// All samples of one distance.
struct PlaneSamples {
  double distance_m = 0.0;    ///< as in the survey
  double downstream_m = 0.0;  ///< from the outlet's plane to this plane, > 0
  std::vector<Sample> samples;
  std::vector<PlacedSweep> sweeps;  ///< by height, then file order
  Window window;                    ///< smallest rectangle that holds the samples
  PlanePoint outlet_centre;
  double outlet_half_y_m = 0.0;
  double outlet_half_z_m = 0.0;
  std::optional<double> floor_m;  ///< no flow below
  double starting_speed_m_s = 0.0;
  std::vector<std::string> remarks;  ///< outliers named, conflicts averaged, ...
};

/// Corrects and places every reading of a survey: calibration, ambient speed, response to yaw,
/// arc to plane along rays from the outlet (method part 6), censoring below the starting speed,
/// exact repeats of a position merged, noise estimated from the scatter along the sweeps.
///
/// @return one entry a distance, nearest first; distances within 1 mm are one plane
/// @throws InputError  a sweep lies behind the outlet, or turns past +-80 degrees
[[nodiscard]] std::vector<PlaneSamples> derive_samples(const Survey& survey);

}  // namespace sweepflux
