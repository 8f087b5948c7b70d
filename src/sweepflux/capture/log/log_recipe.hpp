#pragma once

#include "sweepflux/base/finding.hpp"
#include "sweepflux/capture/delimited/clock_text.hpp"

#include <cstddef>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace sweepflux {

/// What a logger calls its columns. An empty name is looked for among the usual ones (`time`,
/// `angle`, `speed`, ...); an empty unit is read from the heading, and must stand there.
struct LogWords {
  /// Headings, unit and all, of a log that has none, in the order of its columns; a name or `-` for
  /// a column of no interest. Lines before the first row of data are then passed over.
  std::vector<std::string> columns;
  std::string time;
  std::string position;
  std::string value;
  /// What the rig was doing, such as `fan`: only for scales. With it and without a column of times
  /// the log is a table of readings, whose rows have no time.
  std::string label;
  std::string time_unit;
  std::string position_unit;
  std::string value_unit;
  DateOrder dates = DateOrder::found;
  std::optional<double> rate_hz;  ///< rows a second, > 0; then no time column is looked for

  friend bool operator==(const LogWords&, const LogWords&) = default;
};

/// What a survey says about its raw logs, under [log] and beside `log` in a [[sweep]]; the words of
/// `reduce`. Lengths and angles in SI: [rad] for a swivel, [m] for a traverse. Empty: not stated.
struct LogRecipe : LogWords {
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
struct ScaleLogRecipe : LogWords {
  Spot spot;  ///< of `log` or `file`
  std::filesystem::path file;
  bool reduced = false;               ///< a table that `reduce --scale` wrote
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
