#include "render/charts/schedule_chart.hpp"
#include "sweepflux/base/quantiles.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/record/plan_files.hpp"
#include "tool/commands.hpp"
#include "tool/plan_outputs.hpp"
#include "tool/read_inputs.hpp"
#include "tool/result_files.hpp"

#include <optional>

namespace sweepflux::tool {
namespace {

struct PlanArguments : CommonOptions {
  std::string survey;
  std::string setting;
  std::string budget;
  std::string target;
  std::string of = "momentum";
  int count = 0;
  int threads = 0;
};

/// What is not given on the command line is taken from the survey's [plan].
PlanOptions to_plan_options(const PlanArguments& options, const PlanWishes& wishes) {
  PlanOptions plan;
  plan.budget_s = wishes.time_budget_s;
  plan.wished_share = wishes.target;
  if (!options.budget.empty()) {
    plan.budget_s = quantity_of("--budget", options.budget, Dimension::time);
  }
  if (!options.target.empty()) {
    plan.wished_share = quantity_of("--target", options.target, Dimension::ratio);
  }
  plan.of = choice_of<PlanTarget>(
      "--of",
      options.of,
      {{"momentum", PlanTarget::momentum}, {"flow", PlanTarget::flow}, {"map", PlanTarget::map}});
  plan.count = static_cast<std::size_t>(options.count);
  plan.threads = options.threads;
  return plan;
}

render::Canvas chart(const Survey& survey, const Schedule& schedule, const PlanOptions& options) {
  render::ScheduleChartInput input;
  input.title = survey.title.empty() ? "Uncertainty after each sweep" : survey.title;
  input.subtitle =
      schedule.before_any_data ? "expected before any sweep" : "expected from the sweeps so far";
  input.quantity = options.of == PlanTarget::flow ? "flow" : "momentum flux";
  for (std::size_t i = 0; i < schedule.planned.size(); ++i) {
    const PlannedSweep& s = schedule.sweeps[i];
    input.plan.push_back(
        {schedule.planned[i].minutes,
         normal_95 * schedule.planned[i].target_share,
         format_number(s.distance_m, 3) + " m, height " + format_number(s.height_m, 3) + " m"});
  }
  for (const PlanPoint& p : schedule.even) {
    input.evenly_spaced.push_back({p.minutes, normal_95 * p.target_share, "evenly spaced heights"});
  }
  input.knee = schedule.knee;
  if (options.wished_share) {
    input.target = *options.wished_share;
  }
  if (options.budget_s) {
    input.budget_minutes = *options.budget_s / 60.0;
  }
  input.remark = "half of the 95 % interval, least certain plane";
  return render::draw_schedule_chart(input);
}

/// @return what the dry run says
std::string add_files(const Survey& survey,
                      const Schedule& schedule,
                      const PlanOptions& options,
                      ResultFolder& folder) {
  folder.add("plan.csv", plan_csv(schedule));
  folder.add("plan.json", plan_json(survey, schedule));
  if (!schedule.planned.empty()) {
    add_picture(folder, "plan", chart(survey, schedule, options));
  }
  return add_drive_files(survey, schedule, folder);
}

/// @return whether there are sweeps to make
bool plan_one(const PlanArguments& options,
              const Survey& survey,
              Session& session,
              std::string& json) {
  const PlanOptions plan_options = to_plan_options(options, survey.plan);
  std::optional<ResultFolder> folder;
  if (!options.out.empty()) {
    folder.emplace(result_folder(options_for(options, survey, {}), {}, files_of(survey)));
  }
  Schedule schedule;
  std::string dry_run;
  {
    const Progress progress = session.progress();
    schedule = plan_sweeps(survey, plan_options, progress);
    if (folder) {
      dry_run = add_files(survey, schedule, plan_options, *folder);
      folder->write(progress.stop_wanted);
    }
  }
  if (options.json) {
    json += (json.empty() ? "" : ",\n") + plan_json(survey, schedule);
  }
  session.say((survey.member.empty() ? "" : survey.member + "\n\n") + plan_text(survey, schedule) +
              dry_run);
  if (folder) {
    session.say_place("The plan is", folder->target());
  }
  return !schedule.sweeps.empty();
}

void run(const PlanArguments& options, Session& session) {
  session.apply(options);
  (void)to_plan_options(options, {});  // its mistakes come before those of the survey
  ReadOptions read_options;
  read_options.sweeps_required = false;
  const std::vector<ReadInput> inputs =
      read_inputs(options.survey, options.setting, read_options, session.progress());
  std::string json;
  bool to_the_rig = false;
  for (const ReadInput& input : inputs) {
    session.say(&input == &inputs.front() ? "" : "\n");
    to_the_rig = plan_one(options, input.survey, session, json) || to_the_rig;
  }
  session.say(to_the_rig ? plan_cautions() : "");
  if (options.json) {
    session.give(inputs.size() == 1 ? json : "[" + json + "]\n");
  }
}

}  // namespace

Command make_plan_command() {
  const auto options = std::make_shared<PlanArguments>();
  return {
      "plan",
      "Say which sweeps to make: before the first, and after each one",
      "sweepflux plan heron-3/survey.toml --budget \"2 h\" --out heron-3-plan\n"
      "  prints distances, heights, angles and minutes in an order that is safe to stop, and\n"
      "  writes into heron-3-plan a row a sweep (plan.csv), a row a stop (steps.csv, which\n"
      "  `reduce --steps` reads), each sweep as a program in the words of ISO 6983\n"
      "  (sweep-1.nc), motor steps where the survey states their size, and a chart.\n"
      "  A program moves the rig: try it with the fan off, beside an end stop and a\n"
      "  switch-off that do not depend on a computer.",
      common_options(
          *options,
          "Folder for the results; appears whole or not at all",
          {{"survey",
            &options->survey,
            "The survey's file, or that of a campaign, with or without sweeps",
            "SURVEY.toml",
            Need::required},
           {"--setting", &options->setting, setting_words, "NAME"},
           {"--budget", &options->budget, "Time there is, such as \"3 h\" or \"45 min\"", "TIME"},
           {"--target",
            &options->target,
            "Stop when the value is known within this, such as \"5 %\" (half of the 95 % interval)",
            "SHARE"},
           {"--of",
            &options->of,
            "What to plan for: momentum (the momentum flux), flow, map",
            "NAME"},
           {"--count", &options->count, "Sweeps at most", "N", Need::optional, {1, 60}},
           threads_option(options->threads)}),
      [options](Session& session) { run(*options, session); }};
}

}  // namespace sweepflux::tool
