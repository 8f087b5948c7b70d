#pragma once

#include "scans/demo_streams.hpp"

#include <cstdint>
#include <string>
#include <vector>

namespace sweepflux::demo {

/// How a logger wrote a sweep down.
enum class Dialect {
  plain,          ///< angle [deg],speed [m/s]
  with_spread,    ///< and spread [m/s],samples,dwell [s]
  decimal_comma,  ///< `;` between cells, `,` in numbers
  feet_a_minute   ///< Pos [deg],V [ft/min]: names of its own
};

struct DemoSweep {
  double distance_m = 0.0;
  double height_m = 0.0;
  Dialect dialect = Dialect::plain;
  bool backwards = false;
  bool misses_a_reading = false;
  std::string suffix = {};  ///< of the file's name, to tell repeats apart
};

/// One invented survey: the stream, how it was measured, and what the balance said.
struct DemoSurvey {
  std::string folder;
  std::string title;
  std::string fan;
  std::string setting;
  std::string outlet_toml;  ///< shape and size
  std::string power = {};
  double centre_height_m = 0.0;
  double ahead_of_axis_m = 0.0;
  double angle_zero_deg = 0.0;
  bool clockwise = false;
  bool air_was_read = true;  ///< with the fan off; it was at rest
  double thrust_n = 0.0;
  double zero_drift_g = 0.0;
  double balance_resolution_g = 1.0;
  double head_diameter_m = 0.07;
  Stream stream;
  std::vector<DemoSweep> sweeps;
  std::string notes;  ///< what is special about it, for NOTES.md
  std::uint64_t seed = 0;
};

/// Density that turns thrust into a stream's momentum [kg/m3]: the loft's air at 21.5 degC,
/// 1006.2 hPa and 48 %, by the equation that the program uses, to four digits.
inline constexpr double loft_density_kg_m3 = 1.185;

/// All of them, by folder name.
[[nodiscard]] std::vector<DemoSurvey> demo_surveys();

}  // namespace sweepflux::demo
