#include "tool/follow_options.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "tool/read_inputs.hpp"
#include "tool/result_files.hpp"

#include <limits>
#include <system_error>
#include <utility>

namespace sweepflux::tool {

namespace fs = std::filesystem;

void complete_place(FollowArguments& o) {
  if (o.survey.empty() || o.log.steps_file.empty()) {
    return;
  }
  const StepList list = steps_of(o.log);
  const auto fill = [](std::string& text, const std::optional<double>& length_m) {
    if (text.empty() && length_m) {
      text = format_number(*length_m, 17) + " m";
    }
  };
  fill(o.log.distance, list.distance_m);
  fill(o.log.height, list.height_m);
}

ReduceSettings follow_settings(const FollowArguments& o) {
  ReduceSettings settings = to_reduce_settings(o.log);
  if (!o.survey.empty()) {
    const Survey survey = read_input(o.survey, o.setting, {.sweeps_required = false}, {}).survey;
    settings.dwells.assumed_settle_s = survey.rig.settle_time_s;
    if (o.log.motor_step.empty()) {
      settings.format.motor_step = survey.rig.drive.step;
    }
    if (o.log.starting_speed.empty()) {
      settings.starting_speed_m_s = survey.probe.starting_speed_m_s;
    }
  }
  return settings;
}

void check_survey(const FollowArguments& o) {
  if (o.append && o.survey.empty()) {
    throw InputError("--append needs --survey, which the sweep is added to");
  }
  if (o.survey.empty() && !(o.log.distance.empty() && o.log.height.empty())) {
    throw InputError("--distance and --height need --survey, which they place the sweep in");
  }
  if (o.survey.empty()) {
    return;
  }
  if (o.log.distance.empty() || o.log.height.empty()) {
    throw InputError(
        "--survey needs --distance and --height of the sweep that is being made, or --steps with a "
        "list that states them");
  }
  if (o.log.scale) {
    throw InputError("--survey goes with a sweep, not with --scale");
  }
  constexpr double farthest_m = 1000.0;  // as of a survey's sweeps
  for (const auto& [option, text] :
       {std::pair{"--distance", o.log.distance}, std::pair{"--height", o.log.height}}) {
    if (positive_quantity_of(option, text, Dimension::length) > farthest_m) {
      throw InputError(std::string(option) + ": is \"" + text + "\", must be within 1000 m");
    }
  }
  const Survey survey = read_input(o.survey, o.setting, {.sweeps_required = false}, {}).survey;
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

double idle_limit(const std::string& until_idle) {
  return until_idle.empty() ? std::numeric_limits<double>::infinity()
                            : quantity_of("--until-idle", until_idle, Dimension::time);
}

std::string settings_text(const LogOptions& o) {
  std::string text;
  for (const std::string& part : {o.columns,
                                  o.words.time,
                                  o.words.position,
                                  o.words.value,
                                  o.words.time_unit,
                                  o.words.position_unit,
                                  o.motor_step,
                                  o.words.value_unit,
                                  o.dates,
                                  o.settle,
                                  o.tolerance,
                                  o.start,
                                  o.step,
                                  o.dwell,
                                  o.move,
                                  o.begin,
                                  o.steps_file,
                                  o.sweep,
                                  o.distance,
                                  o.height,
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
