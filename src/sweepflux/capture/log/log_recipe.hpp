#pragma once

#include "sweepflux/base/finding.hpp"
#include "sweepflux/capture/delimited/clock_text.hpp"

#include <cstddef>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace sweepflux {

/// What a survey says about its raw logs, under [log] and beside `log` in a [[sweep]]; the words of
/// `reduce`. Lengths and angles in SI: [rad] for a swivel, [m] for a traverse. Empty: not stated.
struct LogRecipe {
  std::vector<std::string> columns;  ///< headings of a log without them
  std::string time_column;
  std::string position_column;
  std::string value_column;
  std::string time_unit;
  std::string position_unit;
  std::string value_unit;
  DateOrder dates = DateOrder::unknown;
  std::optional<double> rate_hz;  ///< rows a second, for a log without times

  std::optional<double> settle_s;
  std::optional<double> tolerance;
  std::optional<double> start;  ///< with step, stops and dwell: a regular sweep
  std::optional<double> step;
  std::optional<std::size_t> stops;
  std::optional<double> dwell_s;
  std::optional<double> move_s;
  std::optional<double> begin_s;
  std::optional<bool> there_and_back;
  std::filesystem::path steps_file;  ///< list of stops; beside the survey
  std::string steps_sweep;           ///< which sweep of that list; empty: by its place

  std::optional<bool> continuous;
  std::optional<double> bin;
  std::optional<double> time_constant_s;
  std::optional<double> distance_constant_m;
  std::optional<bool> rotating;

  std::optional<double> full_scale_m_s;
  std::optional<bool> uncorrected;

  friend bool operator==(const LogRecipe&, const LogRecipe&) = default;
};

/// A log of a scale that a session or a survey names, and what it says about it; the words of
/// `reduce --scale`. Empty: not stated.
struct ScaleLogRecipe {
  Spot spot;  ///< of `log` or `file`
  std::filesystem::path file;
  bool reduced = false;  ///< a table that `reduce --scale` wrote
  std::vector<std::string> columns;
  std::string time_column;
  std::string value_column;
  std::string label_column;
  std::string time_unit;
  std::string value_unit;
  DateOrder dates = DateOrder::unknown;
  std::optional<double> rate_hz;
  std::vector<std::string> sequence;  ///< what happened, in order, where no column says it
  std::optional<double> settle_s;
};

/// A sweep whose raw log the survey names.
struct LoggedSweep {
  Spot spot;  ///< of `log` in the survey
  std::filesystem::path file;
  std::string name;
  double distance_m = 0.0;
  double height_m = 0.0;
  LogRecipe recipe;
  std::size_t place = 0;  ///< so many of the survey's other sweeps stand before it
};

}  // namespace sweepflux
