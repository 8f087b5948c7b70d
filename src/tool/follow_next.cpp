#include "tool/follow_next.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/plan/schedule.hpp"
#include "sweepflux/record/append_sweep.hpp"
#include "sweepflux/record/plan_files.hpp"
#include "sweepflux/result/map_survey.hpp"
#include "tool/map_text.hpp"
#include "tool/plan_outputs.hpp"
#include "tool/read_inputs.hpp"

namespace sweepflux::tool {
namespace {

enum class PlanFollows { yes, no };

/// The plane as it stands with the new sweep, or why there is none yet.
std::string plane_words(const Survey& survey,
                        double distance_m,
                        PlanFollows plan_follows,
                        Session& session) {
  MapOptions options;
  options.hold_out = false;
  options.next_sweep = plan_follows == PlanFollows::no;
  const Progress progress = session.progress();
  try {
    return running_plane_text(map_survey(survey, options, progress), distance_m);
  } catch (const NumericalError& error) {
    return std::string("No map yet: ") + error.what() + "\n";
  }
}

void plan_next(const Survey& survey, ResultFolder& folder, Session& session) {
  PlanOptions plan;
  plan.budget_s = survey.plan.time_budget_s;
  plan.wished_share = survey.plan.target;
  plan.count = 1;
  const Progress progress = session.progress();
  const Schedule schedule = plan_sweeps(survey, plan, progress);
  folder.add("plan.csv", plan_csv(schedule));
  folder.add("plan.json", plan_json(survey, schedule));
  const std::string dry_run = add_drive_files(survey, schedule, folder);
  folder.write(progress.stop_wanted);
  std::string text = schedule.why.empty() ? "" : "Plan: " + schedule.why + ".\n";
  if (!schedule.sweeps.empty()) {
    const PlannedSweep& next = schedule.sweeps.front();
    text += "Next sweep: probe at " + format_number(next.distance_m, 4) + " m, height " +
            format_number(next.height_m, 4) + " m, " + std::to_string(next.stops.size()) +
            " stops: sweep-1.nc and steps.csv in " + folder.target().string() + "\n" + dry_run;
  }
  session.say(text);
}

}  // namespace

void say_next(const FollowArguments& options,
              const ReducedLog& reduced,
              ResultFolder& folder,
              Session& session) {
  const double distance_m = quantity_of("--distance", options.log.distance, Dimension::length);
  const double height_m = quantity_of("--height", options.log.height, Dimension::length);
  const auto read = [&] {
    return read_input(
               options.survey, options.setting, {.sweeps_required = false}, session.progress())
        .survey;
  };
  Survey survey = read();
  if (options.append) {
    const AppendedSweep added =
        append_sweep(options.survey, survey.member, reduced, distance_m, height_m);
    session.say("\n" + options.survey +
                (added.was_there ? ": holds this sweep already, as "
                                 : ": the sweep was added, as ") +
                added.file.string() + "\n");
  }
  if (options.append) {
    survey = read();
  } else {
    survey.sweeps.push_back(sweep_of(reduced, distance_m, height_m));
  }
  const PlanFollows plan_follows = options.append ? PlanFollows::yes : PlanFollows::no;
  session.say("\n" + plane_words(survey, distance_m, plan_follows, session));
  if (options.append) {
    plan_next(survey, folder, session);
  }
}

}  // namespace sweepflux::tool
