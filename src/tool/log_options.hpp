#pragma once

#include "sweepflux/capture/log/read_steps.hpp"
#include "sweepflux/derive/log/reduce_log.hpp"
#include "sweepflux/derive/thrust/scale_log.hpp"
#include "tool/command.hpp"

#include <optional>
#include <string>
#include <vector>

namespace sweepflux::tool {

/// What the command line says about a raw log, as text; `reduce` and `follow` share it.
struct LogOptions {
  LogRecipe words;  ///< columns and units, which need no conversion
  std::string columns;
  std::string motor_step;
  std::string dates = "found";
  double rate_hz = 0.0;
  bool traverse = false;

  std::string settle;
  std::string tolerance;
  std::string start;
  std::string step;
  int stops = 0;
  std::string dwell;
  std::string move;
  std::string begin;
  bool there_and_back = false;
  std::string steps_file;
  std::string sweep;     ///< of the list of stops
  std::string distance;  ///< of the sweep, where a command takes it
  std::string height;

  bool continuous = false;
  std::string bin;
  std::string time_constant;
  std::string distance_constant;
  bool rotating = false;

  std::string starting_speed;
  std::string full_scale;
  bool uncorrected = false;

  bool scale = false;
  std::string check_mass;
  std::string sequence;
  double lever_ratio = 0.0;  ///< 0: not stated
  std::string resolution;
};

void add_log_options(std::vector<Option>& list, LogOptions& options);

/// Text to settings.
///
/// @throws InputError   an option is no quantity, or options do not go together
/// @throws SurveyError  the list of steps cannot be read
/// @pre steps_file is given
[[nodiscard]] StepList steps_of(const LogOptions& options);
[[nodiscard]] ReduceSettings to_reduce_settings(const LogOptions& options);
[[nodiscard]] ScaleOptions to_scale_options(const LogOptions& options);

}  // namespace sweepflux::tool
