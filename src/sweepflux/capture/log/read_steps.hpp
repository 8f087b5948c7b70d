#pragma once

#include "sweepflux/base/finding.hpp"
#include "sweepflux/base/motion.hpp"

#include <filesystem>
#include <vector>

namespace sweepflux {

/// One stop of the rig, as listed.
struct StepRow {
  double position = 0.0;  ///< [rad] or [m]
  double start_s = 0.0;   ///< the rig is commanded there
  double settle_s = 0.0;  ///< 0: not stated
  double dwell_s = 0.0;   ///< after settling
};

/// Reads a list of stops: a CSV with the columns `angle [deg]` (or `across [m]`), `time [s]`,
/// `dwell [s]` and, if known, `settle [s]`.
///
/// @throws SurveyError  with every fault found
[[nodiscard]] std::vector<StepRow> read_steps(const std::filesystem::path& file, Motion motion);

}  // namespace sweepflux
