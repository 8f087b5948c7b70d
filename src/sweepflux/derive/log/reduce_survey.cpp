#include "sweepflux/derive/log/reduce_survey.hpp"

#include "sweepflux/base/count_text.hpp"
#include "sweepflux/base/error.hpp"
#include "sweepflux/capture/survey/sweep_file_private.hpp"

#include <string>
#include <utility>

namespace sweepflux {
namespace {

/// All that `reduce` would have said, as remarks of the survey.
void add_remarks(const ReducedLog& reduced, std::vector<Finding>& remarks) {
  const Spot whole{reduced.file, 0, 0};
  std::string sum = count_text(reduced.readings.size(), "reading") + " from " +
                    count_text(reduced.counts.rows, "row") + " of the log";
  if (!reduced.continuous) {
    sum += "; " + count_text(reduced.moving_rows, "row") + " between the dwells";
  }
  remarks.push_back({whole, sum});
  for (const std::string& remark : reduced.remarks) {
    remarks.push_back({whole, remark});
  }
  for (const std::string& warning : reduced.warnings) {
    remarks.push_back({whole, "warning: " + warning});
  }
  for (const ReducedReading& r : reduced.readings) {
    for (const std::string& warning : r.warnings) {
      remarks.push_back({{reduced.file, r.first_line, 0}, "warning: " + warning});
    }
  }
}

std::optional<StepPattern> pattern_of(const LogRecipe& recipe) {
  if (!recipe.start || !recipe.step || !recipe.stops || !recipe.dwell_s) {
    return std::nullopt;
  }
  StepPattern pattern;
  pattern.start = *recipe.start;
  pattern.step = *recipe.step;
  pattern.stops = *recipe.stops;
  pattern.dwell_s = *recipe.dwell_s;
  pattern.settle_s = recipe.settle_s.value_or(0.0);
  pattern.move_s = recipe.move_s.value_or(0.0);
  pattern.there_and_back = recipe.there_and_back.value_or(false);
  return pattern;
}

}  // namespace

ReduceSettings reduce_settings(const Survey& survey, const LoggedSweep& log) {
  const LogRecipe& recipe = log.recipe;
  const Motion motion = survey.rig.motion;
  ReduceSettings settings;
  settings.format = log_format(recipe, motion);
  settings.format.motor_step = survey.rig.drive.step;
  settings.dwells.motion = motion;
  settings.dwells.settle_s = recipe.settle_s;
  settings.dwells.position_tolerance = recipe.tolerance.value_or(0.0);
  settings.dwells.begin_s = recipe.begin_s;
  settings.pattern = pattern_of(recipe);
  if (settings.pattern && settings.dwells.settle_s) {
    settings.dwells.settle_s = settings.pattern->move_s + *settings.dwells.settle_s;
  }
  if (!recipe.steps_file.empty()) {
    settings.dwells.stops = chosen_steps(read_steps(recipe.steps_file, motion),
                                         {recipe.steps_sweep, log.distance_m, log.height_m},
                                         recipe.steps_file)
                                .stops;
  }
  settings.continuous = recipe.continuous.value_or(false);
  settings.continuous_options.motion = motion;
  settings.continuous_options.bin = recipe.bin.value_or(0.0);
  settings.continuous_options.rotating =
      recipe.rotating.value_or(survey.probe.kind == ProbeKind::vane);
  settings.continuous_options.lag = {recipe.time_constant_s, recipe.distance_constant_m};
  if (!recipe.time_constant_s && !recipe.distance_constant_m) {
    settings.continuous_options.lag = {survey.probe.time_constant_s,
                                       survey.probe.distance_constant_m};
  }
  settings.starting_speed_m_s = survey.probe.starting_speed_m_s;
  settings.full_scale_m_s = recipe.full_scale_m_s.value_or(0.0);
  settings.correct = !recipe.uncorrected.value_or(false);
  return settings;
}

std::vector<ReducedLog> reduce_logs(Survey& survey, const Progress& progress) {
  std::vector<ReducedLog> all;
  std::vector<Finding> faults;
  std::string no_sweep;
  std::size_t added = 0;
  for (const LoggedSweep& log : survey.logs) {
    try {
      ReducedLog reduced = reduce_log(log.file, reduce_settings(survey, log), progress);
      Sweep sweep = sweep_of(reduced, log.distance_m, log.height_m);
      sweep.name = log.name;
      if (survey.rig.motion == Motion::swivel) {
        unwrap_angles(sweep.readings, survey.rig.angle_zero_rad);
      }
      add_remarks(reduced, survey.remarks);
      const auto at = static_cast<std::ptrdiff_t>(log.place + added++);
      survey.sweeps.insert(survey.sweeps.begin() + at, std::move(sweep));
      all.push_back(std::move(reduced));
    } catch (const SurveyError& error) {
      faults.insert(faults.end(), error.findings().begin(), error.findings().end());
    } catch (const InputError& error) {
      faults.push_back({log.spot, error.what()});
    } catch (const NumericalError& error) {
      no_sweep += (no_sweep.empty() ? "" : "\n") + log.file.string() + ": " + error.what();
    }
  }
  survey.logs.clear();
  if (!faults.empty()) {
    throw SurveyError(std::move(faults));
  }
  if (!no_sweep.empty()) {
    throw NumericalError(no_sweep);
  }
  return all;
}

}  // namespace sweepflux
