#pragma once

#include "sweepflux/record/folder.hpp"
#include "tool/log_options.hpp"
#include "tool/session.hpp"

#include <string>

namespace sweepflux::tool {

/// What `follow` is given.
struct FollowArguments : CommonOptions {
  std::string source;
  LogOptions log;
  std::string survey;
  std::string setting;
  std::string until_idle;
  std::string serial;
  bool append = false;
  bool fresh = false;
};

/// Takes the sweep's place from the list of stops where that states it and no option does.
void complete_place(FollowArguments& options);

/// Settings of the reducer: those of the options, and what the survey knows of rig and probe.
[[nodiscard]] ReduceSettings follow_settings(const FollowArguments& options);

/// What is asked for but once the run is over, and must not be found at fault then: the survey, and
/// the sweep's place in it.
///
/// @throws InputError  it cannot be used; SurveyError with the survey's faults
void check_survey(const FollowArguments& options);

/// The journal stands beside the results from the first dwell on, so their folder must be there.
///
/// @throws InputError  it is not, or as ResultFolder
[[nodiscard]] ResultFolder folder_of(const FollowArguments& options);

/// Seconds without a byte after which the run ends; infinite where none are given.
/// @throws InputError  it is no time
[[nodiscard]] double idle_limit(const std::string& until_idle);

/// What must be the same for a run to go on with another's journal.
[[nodiscard]] std::string settings_text(const LogOptions& options);

}  // namespace sweepflux::tool
