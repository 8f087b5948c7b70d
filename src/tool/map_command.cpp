#include "sweepflux/base/error.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/record/reduced_sweep.hpp"
#include "sweepflux/record/summary.hpp"
#include "sweepflux/result/map_survey.hpp"
#include "tool/commands.hpp"
#include "tool/map_text.hpp"
#include "tool/read_inputs.hpp"
#include "tool/reduced_text.hpp"
#include "tool/result_files.hpp"

#include <optional>
#include <set>
#include <utility>
#include <vector>

namespace sweepflux::tool {
namespace {

namespace fs = std::filesystem;

struct MapArguments : CommonOptions {
  std::string survey;
  std::string setting;
  std::string method = "default";
  std::string grid;
  int threads = 0;
  bool no_pictures = false;
};

Method to_method(const std::string& name) {
  return choice_of<Method>("--method",
                           name,
                           {{"default", Method::automatic},
                            {"kriging", Method::kriging},
                            {"linear", Method::linear},
                            {"thin-plate", Method::thin_plate},
                            {"inverse-distance", Method::inverse_distance}});
}

double to_grid_step_m(const std::string& text) {
  if (text.empty()) {
    return 0.0;
  }
  const double step_m = quantity_of("--grid", text, Dimension::length);
  if (!(step_m >= 1e-4 && step_m <= 10.0)) {
    throw InputError("--grid is \"" + text + "\", must be between 0.1 mm and 10 m");
  }
  return step_m;
}

/// What a person types to get these results again.
std::string line_of(const MapArguments& o) {
  return "sweepflux map " + shell_word(o.survey) + shell_option("--setting", o.setting) +
         shell_option("--method", o.method == "default" ? "" : o.method) +
         shell_option("--grid", o.grid) + shell_option("--out", o.out);
}

/// A table for each log that the survey names, so that every reading can be traced to its lines.
void add_reduced_logs(const std::vector<ReducedLog>& logs, ResultFolder& folder) {
  std::set<std::string> used;
  for (const ReducedLog& log : logs) {
    folder.add(table_name(log.file, "-sweep.csv", used), reduced_sweep_csv(log));
  }
}

void map_one(const MapArguments& options,
             const MapOptions& map_options,
             const ReadInput& input,
             Session& session,
             std::string& json) {
  const Survey& survey = input.survey;
  const fs::path usual = folder_beside(options.survey, "-results");
  const bool in_folder = !options.json || !options.out.empty();
  const CommonOptions common = options_for(options, survey, in_folder ? usual : fs::path());
  std::optional<ResultFolder> folder = result_folder_if_wanted(common, usual, files_of(survey));
  SurveyResult result;
  {
    const Progress progress = session.progress();
    result = map_survey(survey, map_options, progress);
    if (folder) {
      add_map_files(result,
                    options.no_pictures ? Pictures::none : Pictures::all,
                    line_of(options),
                    options.threads,
                    *folder,
                    progress);
      add_reduced_logs(input.logs, *folder);
      folder->write(progress.stop_wanted);
    }
  }
  if (options.json) {
    json += (json.empty() ? "" : ",\n") + summary_json(result);
  }
  session.say((survey.member.empty() ? "" : survey.member + "\n\n") + map_text(result));
  if (folder) {
    session.say_place("Results are", folder->target());
  }
}

void run(const MapArguments& options, Session& session) {
  session.apply(options);
  MapOptions map_options;
  map_options.method = to_method(options.method);
  map_options.grid_step_m = to_grid_step_m(options.grid);
  map_options.threads = options.threads;
  const std::vector<ReadInput> inputs =
      read_inputs(options.survey, options.setting, {}, session.progress());
  std::string json;
  std::string no_map;
  std::size_t mapped = 0;
  for (const ReadInput& input : inputs) {
    const std::string& member = input.survey.member;
    session.say(&input == &inputs.front() ? "" : "\n");
    if (!member.empty() && input.survey.sweeps.empty()) {
      session.say(member + ": has no sweep yet, and is left out\n");
      continue;
    }
    try {
      map_one(options, map_options, input, session, json);
      ++mapped;
    } catch (const NumericalError& error) {
      if (member.empty()) {
        throw;
      }
      no_map += (no_map.empty() ? "" : "\n") + member + ": " + error.what();
    }
  }
  if (options.json) {
    session.give(inputs.front().survey.member.empty() || !options.setting.empty()
                     ? json
                     : "[" + json + "]\n");
  }
  if (!no_map.empty()) {
    throw NumericalError(no_map);
  }
  if (mapped == 0) {
    throw InputError(options.survey + ": no setting has a sweep yet; `plan` says which to make");
  }
}

}  // namespace

Command make_map_command() {
  const auto options = std::make_shared<MapArguments>();
  return {
      "map",
      "Make plane maps, volume flow, momentum flux and kinetic power from a survey's sweeps",
      "sweepflux map heron-3/survey.toml --out heron-3-map\n"
      "  reads the survey and every sweep that it names, prints volume flow and momentum flux at "
      "each\n"
      "  distance, and writes tables, pictures and a page into heron-3-map. A map has 4 million\n"
      "  cells at most, a survey 1 MiB.",
      common_options(
          *options,
          "Folder for the results; else <survey>-results beside the survey",
          {{"survey",
            &options->survey,
            "The survey's file, or that of a campaign",
            "SURVEY.toml",
            Need::required},
           {"--setting", &options->setting, setting_words, "NAME"},
           {"--method",
            &options->method,
            "How the field is made: default, kriging, linear, thin-plate, inverse-distance",
            "NAME"},
           {"--grid",
            &options->grid,
            "Step of the maps, such as \"10 mm\", from 0.1 mm to 10 m; else chosen",
            "LENGTH"},
           threads_option(options->threads),
           {"--no-pictures", &options->no_pictures, "Write tables only"}}),
      [options](Session& session) { run(*options, session); }};
}

}  // namespace sweepflux::tool
