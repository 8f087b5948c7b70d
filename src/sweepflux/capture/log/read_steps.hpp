#pragma once

#include "sweepflux/base/finding.hpp"
#include "sweepflux/base/geometry.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace sweepflux {

/// One stop of the rig, as listed.
struct StepRow {
  double position = 0.0;  ///< [rad] or [m]
  double start_s = 0.0;   ///< the rig is commanded there
  double settle_s = 0.0;  ///< 0: not stated
  double dwell_s = 0.0;   ///< after settling
};

/// The stops of one sweep on a list.
struct StepList {
  std::string sweep;  ///< as listed; empty: the list tells no sweeps apart
  std::optional<double> distance_m;
  std::optional<double> height_m;
  std::vector<StepRow> stops;
};

/// Which sweep of a list is meant; what is left empty is not known.
struct StepChoice {
  std::string sweep;
  std::optional<double> distance_m;
  std::optional<double> height_m;
};

/// Reads a list of stops, such as `plan` writes: a CSV with the columns `angle [deg]` (or
/// `across [m]`), `time [s]` since the sweep began, `dwell [s]` and, if known, `settle [s]` (the
/// move included), `sweep`, `distance [m]` and `height [m]`.
///
/// @return one list a sweep, in the order of the file
/// @throws SurveyError  with every fault found
[[nodiscard]] std::vector<StepList> read_steps(const std::filesystem::path& file, Motion motion);

/// The sweep that is meant: by its name, else by its place (to 6 mm: plans are read to the
/// centimetre), else the only one.
///
/// @throws InputError  none is it, or several may be; says which there are
[[nodiscard]] const StepList& chosen_steps(const std::vector<StepList>& lists,
                                           const StepChoice& choice,
                                           const std::filesystem::path& file);

}  // namespace sweepflux
