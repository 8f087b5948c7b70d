#include "sweepflux/base/nearest_name.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/capture/log/read_log.hpp"
#include "sweepflux/capture/log/read_steps.hpp"
#include "sweepflux/capture/survey/survey_sections_private.hpp"

#include <system_error>
#include <vector>

namespace sweepflux {
namespace {

/// What is wrong with the inside of a file is its own fault, else that of the survey.
template <typename Look>
void look_into(const Spot& named_at, Findings& findings, Look look) {
  try {
    look();
  } catch (const SurveyError& error) {
    for (const Finding& finding : error.findings()) {
      findings.add(finding.spot, finding.text);
    }
  } catch (const InputError& error) {
    findings.add(named_at, error.what());
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
  const bool is_file = std::filesystem::is_regular_file(file, failed);
  if (!is_file) {
    findings.add(
        spot,
        text + (std::filesystem::exists(file, failed) ? " is no file"
                                                      : " is not there" + did_you_mean_file(file)));
  }
  return is_file;
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

std::string did_you_mean_file(const std::filesystem::path& file) {
  std::vector<std::string> names;
  std::error_code failed;
  constexpr std::size_t enough = 1000;
  for (std::filesystem::directory_iterator entry(file.parent_path(), failed), end;
       !failed && entry != end && names.size() < enough;
       entry.increment(failed)) {
    names.push_back(entry->path().filename().string());
  }
  return std::filesystem::exists(file, failed) ? "" : did_you_mean(file.filename().string(), names);
}

void check_log(const SweepRequest& request, const Rig& rig, Findings& findings) {
  const LogRecipe& recipe = *request.log;
  const Motion motion = rig.motion;
  const std::string log = "log " + in_backticks(request.file_text);
  check_place(request, findings);
  check_log_recipe(recipe, request.spot, findings);
  if (!recipe.steps_file.empty() &&
      is_readable(recipe.steps_file,
                  "steps of " + log + ": " + in_backticks(recipe.steps_file.string()),
                  request.spot,
                  findings)) {
    look_into(request.spot, findings, [&] {
      (void)chosen_steps(read_steps(recipe.steps_file, motion),
                         {recipe.steps_sweep, request.distance_m, request.height_m},
                         recipe.steps_file);
    });
  }
  if (!is_readable(request.file, in_backticks(request.file_text), request.file_spot, findings)) {
    return;
  }
  look_into(request.file_spot, findings, [&] {
    LogFormat format = log_format(recipe, motion);
    format.motor_step = rig.drive.step;
    LogReader reader(request.file, format);
    (void)reader.next();
    const bool listed = recipe.start.has_value() || !recipe.steps_file.empty();
    const bool continuous = recipe.continuous.value_or(false);
    if (!reader.has_position() && (continuous || !listed)) {
      const std::string place = motion == Motion::swivel ? "angle" : "across";
      findings.add(request.file_spot,
                   log + " has no column `" + place + "`; name it (" + place + "_column)" +
                       (continuous ? ", a continuous sweep needs it"
                                   : ", or state the sweep (start, step, stops, dwell) or a list "
                                     "of stops (steps), here or under [log]"));
    }
  });
}

}  // namespace sweepflux
