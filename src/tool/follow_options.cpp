#include "tool/follow_options.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/capture/survey/read_survey.hpp"
#include "tool/comparison_text.hpp"
#include "tool/result_place.hpp"

#include <limits>
#include <system_error>
#include <vector>

namespace sweepflux::tool {

namespace fs = std::filesystem;

void check_survey(const FollowArguments& o) {
  if (o.survey.empty() && !(o.distance.empty() && o.height.empty())) {
    throw InputError("--distance and --height need --survey, which they place the sweep in");
  }
  if (o.survey.empty()) {
    return;
  }
  if (o.distance.empty() || o.height.empty()) {
    throw InputError("--survey needs --distance and --height of the sweep that is being made");
  }
  if (o.log.scale) {
    throw InputError("--survey goes with a sweep, not with --scale");
  }
  (void)lengths_of("--distance", std::vector{o.distance});
  (void)lengths_of("--height", std::vector{o.height});
  const Survey survey = read_survey(o.survey, {.sweeps_required = false});
  if (survey.rig.motion != to_reduce_settings(o.log).format.motion) {
    throw InputError(o.survey + ": its rig moves otherwise than this log says; see --traverse");
  }
}

ResultFolder folder_of(const FollowArguments& options) {
  ResultFolder folder =
      result_folder(options, folder_beside(options.source, "-followed"), {options.source});
  const fs::path above = fs::absolute(folder.target()).parent_path();
  std::error_code ignored;
  if (!fs::is_directory(above, ignored)) {
    throw InputError(above.string() + ": there is no such folder for the results; make it first");
  }
  return folder;
}

double idle_limit(const FollowArguments& options) {
  return options.until_idle.empty()
             ? std::numeric_limits<double>::infinity()
             : quantities_of("--until-idle", std::vector{options.until_idle}, Dimension::time)
                   .front();
}

std::string settings_text(const LogOptions& o) {
  std::string text;
  for (const std::string& part : {o.columns,
                                  o.time_column,
                                  o.position_column,
                                  o.value_column,
                                  o.time_unit,
                                  o.position_unit,
                                  o.value_unit,
                                  o.dates,
                                  o.settle,
                                  o.tolerance,
                                  o.start,
                                  o.step,
                                  o.dwell,
                                  o.move,
                                  o.begin,
                                  o.steps_file,
                                  std::to_string(o.stops),
                                  std::to_string(o.rate_hz),
                                  std::to_string(o.traverse),
                                  std::to_string(o.there_and_back)}) {
    for (const char c : part) {
      text += c == '\n' ? ' ' : c;
    }
    text += '|';
  }
  return text;
}

}  // namespace sweepflux::tool
