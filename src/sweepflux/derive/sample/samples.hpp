#pragma once

#include "sweepflux/base/geometry.hpp"
#include "sweepflux/capture/survey/survey.hpp"
#include "sweepflux/derive/sample/scatter.hpp"

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
  bool censored = false;  ///< under the probe's starting speed: known only to lie in [0, speed_m_s]
  double sideways = 0.0;  ///< share of the speed along y in it: a turned probe that answers to the
                          ///< component along its axis sees it times tan(yaw)
  int sweep = 0;          ///< index into PlaneSamples::sweeps
  std::size_t line = 0;   ///< of the sweep's file
};

/// One sweep as it lies in its plane.
struct PlacedSweep {
  std::string name;
  std::filesystem::path file;
  double height_m = 0.0;     ///< nominal
  std::size_t readings = 0;  ///< that became samples
  std::size_t left_out = 0;  ///< that did not
};

/// Errors that all readings of a plane share: more readings do not average them away. Standard
/// uncertainties, each with the rule that carries it to flow Q, momentum M and power P.
struct CommonErrors {
  double scale = 0.0;        ///< relative, of every speed: dQ/Q = e, dM/M = 2e, dP/P = 3e
  double offset_m_s = 0.0;   ///< added to every speed above the starting speed: dQ = e A over the
                             ///< area A of the stream, dM = 2 rho e Q, dP = 3 e M / 2
  double ambient_m_s = 0.0;  ///< of the ambient speed taken off: rule of the offset
  double distance_m = 0.0;   ///< swivel: all y scale by 1 + e / distance_m, so do Q, M and P;
                             ///< traverse: the plane's place along the stream alone
  double height_m = 0.0;   ///< of each sweep on its own: its speeds belong to a height off by e, so
                           ///< du = e |du/dz|, common to the sweep, independent between sweeps
  double angle_rad = 0.0;  ///< of the zero of the angle, swivel only: y moves by e * distance_m;
                           ///< Q, M and P change by e^2 / 2 only, the centre by the full shift
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
  std::optional<double> room_section_m2;  ///< across the stream
  double starting_speed_m_s = 0.0;
  NoiseModel noise;             ///< of single readings, found from the scatter along the sweeps
  double noise_freedom = 0.0;   ///< degrees of freedom behind it; 0: assumed
  double sweep_gain_sd = 0.01;  ///< relative; of a whole sweep, by the fan's drift; from repeats
                                ///< where there are any (derive/repeats)
  CommonErrors common;
  bool ambient_known = false;  ///< the survey states the speed with the fan off; taken off already
  std::vector<std::string> remarks;  ///< outliers named, conflicts averaged, ...
};

/// Corrects and places every reading of a survey: calibration, ambient speed, response to yaw,
/// arc to plane along rays from the outlet (method part 6), censoring below the starting speed,
/// repeats of a position merged, noise estimated from the scatter along the sweeps.
///
/// Repeats within a sweep: the same value again is dropped and counted (a logger that wrote a row
/// twice); other values are averaged and named. Sweeps at equal height stay separate sweeps.
///
/// @param threads  at most; 0: as many as there are cores. The answer is the same
/// @return one entry a distance, nearest first; distances within 1 mm are one plane. Samples by
///         sweep, then by position, so that the order of rows does not matter
/// @throws InputError  a sweep lies behind the outlet or turns past +-80 degrees, a plane has no
///                     usable reading, a value is not finite, or the calibration does not rise;
///                     all such faults at once, a line each
[[nodiscard]] std::vector<PlaneSamples> derive_samples(const Survey& survey, int threads = 0);

}  // namespace sweepflux
