#include "sweepflux/base/nearest_name.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/capture/survey/check_log_private.hpp"
#include "sweepflux/capture/log/read_steps.hpp"

#include <system_error>
#include <vector>

namespace sweepflux {
namespace {

void add_all(const SurveyError& error, Findings& findings) {
  for (const Finding& finding : error.findings()) {
    findings.add(finding.spot, finding.text);
  }
}

/// The file's name is the survey's fault.
///
/// @param text  the name as the survey has it, and what it is of
bool is_readable(const std::filesystem::path& file,
                 const std::string& text,
                 const Spot& spot,
                 Findings& findings) {
  std::error_code failed;
  if (std::filesystem::is_regular_file(file, failed)) {
    return true;
  }
  std::vector<std::string> names;
  constexpr std::size_t enough = 1000;
  for (std::filesystem::directory_iterator entry(file.parent_path(), failed), end;
       !failed && entry != end && names.size() < enough;
       entry.increment(failed)) {
    names.push_back(entry->path().filename().string());
  }
  const bool is_there = std::filesystem::exists(file, failed);
  findings.add(spot,
               text + (is_there ? " is no file"
                                : " is not there" + did_you_mean(file.filename().string(), names)));
  return false;
}

void check_place(const SweepRequest& request, Findings& findings) {
  for (const auto& [stated, key, example] :
       {std::tuple{request.distance_m.has_value(), "distance", "1.5 m"},
        std::tuple{request.height_m.has_value(), "height", "0.92 m"}}) {
    if (!stated) {
      findings.add(request.spot,
                   "log " + in_backticks(request.file_text) + " has no " + key +
                       "; write it here (" + key + " = \"" + example + "\")");
    }
  }
}

}  // namespace

void check_log(const SweepRequest& request, const Rig& rig, Findings& findings) {
  const LogRecipe& recipe = *request.log;
  const Motion motion = rig.motion;
  check_place(request, findings);
  check_log_recipe(recipe, request.spot, findings);
  if (!recipe.steps_file.empty() && is_readable(recipe.steps_file,
                                                "steps of log " + in_backticks(request.file_text) +
                                                    ": " + in_backticks(recipe.steps_file.string()),
                                                request.spot,
                                                findings)) {
    try {
      (void)chosen_steps(read_steps(recipe.steps_file, motion),
                         {recipe.steps_sweep, request.distance_m, request.height_m},
                         recipe.steps_file);
    } catch (const SurveyError& error) {
      add_all(error, findings);
    } catch (const InputError& error) {
      findings.add(request.spot, error.what());
    }
  }
  if (!is_readable(request.file, in_backticks(request.file_text), request.file_spot, findings)) {
    return;
  }
  try {
    LogFormat format = log_format(recipe, motion);
    format.motor_step = rig.drive.step;
    LogReader reader(request.file, format);
    (void)reader.next();
    const bool listed = recipe.start.has_value() || !recipe.steps_file.empty();
    const bool continuous = recipe.continuous.value_or(false);
    if (!reader.has_position() && (continuous || !listed)) {
      const std::string place = motion == Motion::swivel ? "angle" : "across";
      findings.add(request.file_spot,
                   "log " + in_backticks(request.file_text) + " has no column `" + place +
                       "`; name it (" + place + "_column)" +
                       (continuous ? ", a continuous sweep needs it"
                                   : ", or state the sweep (start, step, stops, dwell) or a list "
                                     "of stops (steps), here or under [log]"));
    }
  } catch (const SurveyError& error) {
    add_all(error, findings);
  } catch (const InputError& error) {
    findings.add(request.file_spot, error.what());
  }
}

}  // namespace sweepflux
