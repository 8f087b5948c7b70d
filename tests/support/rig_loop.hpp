#pragma once

#include "tests/support/driven_rig.hpp"
#include "tests/support/process.hpp"

#include <filesystem>
#include <string>
#include <utility>
#include <vector>

namespace sweepflux::test {

/// A survey of a simulated fan on the driven rig, with `[plan]` at its end: further lines of that
/// may follow.
[[nodiscard]] std::string rig_survey_text();

/// A rig before a field, with the errors that rig_survey_text() states.
[[nodiscard]] DrivenRig driven_rig(const KnownField& field, std::uint64_t seed);

/// Where a plan's first sweep puts the probe.
struct ProbePlace {
  double distance_m = 0.0;
  double height_m = 0.0;
};

/// @throws std::runtime_error  the file has other columns
[[nodiscard]] ProbePlace first_place(const std::filesystem::path& steps);

/// One run of `follow` on a serial line while a rig makes the first sweep of a plan on it.
struct FollowRun {
  std::filesystem::path program;  ///< sweepflux
  std::filesystem::path survey;
  std::filesystem::path plan;  ///< folder with steps.csv and sweep-1.nc
  std::filesystem::path out;
  Sender sender = Sender::table;
};

/// The rig obeys sweep-1.nc, the anemometer streams; bare lines at the pace of the clock.
///
/// @throws std::invalid_argument  as DriveController
[[nodiscard]] ProcessResult follow_on_line(const FollowRun& run, const DrivenRig& rig);

/// Plan, follow, map, plan, until the plan says that it may stop.
struct LoopOutcome {
  bool stopped = false;
  int sweeps = 0;
  std::string fault;             ///< of the first command that failed; empty: none did
  std::size_t longest_text = 0;  ///< lines that a run of `follow` printed, at most
  std::filesystem::path last;    ///< folder of the last plan
};

/// @param run   its plan and out are the loop's to choose, beside the survey
/// @param most  sweeps at most
[[nodiscard]] LoopOutcome run_rig_loop(FollowRun run, const DrivenRig& rig, int most);

/// Angle [deg] and speed [m/s] of a sweep's rows.
[[nodiscard]] std::vector<std::pair<double, double>> sweep_rows(const std::string& csv);

}  // namespace sweepflux::test
