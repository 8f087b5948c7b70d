#include "tool/map_command.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/nearest_name.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/log/reduce_survey.hpp"
#include "sweepflux/record/reduced_sweep.hpp"
#include "sweepflux/record/summary.hpp"
#include "sweepflux/result/map_survey.hpp"
#include "tool/campaign_files.hpp"
#include "tool/map_files.hpp"
#include "tool/map_text.hpp"
#include "tool/reduced_text.hpp"
#include "tool/result_place.hpp"

#include <optional>
#include <set>
#include <utility>
#include <vector>

namespace sweepflux::tool {
namespace {

namespace fs = std::filesystem;

struct MapArguments : CommonOptions {
  std::string survey;
  std::string method = "default";
  std::string grid;
  int threads = 0;
  bool no_pictures = false;
};

Method to_method(const std::string& name) {
  const std::pair<const char*, Method> methods[] = {{"default", Method::automatic},
                                                    {"kriging", Method::kriging},
                                                    {"linear", Method::linear},
                                                    {"thin-plate", Method::thin_plate},
                                                    {"inverse-distance", Method::inverse_distance}};
  std::vector<std::string> names;
  for (const auto& [known, method] : methods) {
    if (name == known) {
      return method;
    }
    names.emplace_back(known);
  }
  throw InputError("--method is `" + name + "`, must be one of " + listed(names) +
                   did_you_mean(name, names));
}

double to_grid_step_m(const std::string& text) {
  if (text.empty()) {
    return 0.0;
  }
  double step_m = 0.0;
  try {
    step_m = parse_quantity(text, Dimension::length);
  } catch (const InputError& error) {
    throw InputError(std::string("--grid: ") + error.what());
  }
  if (!(step_m >= 1e-4 && step_m <= 10.0)) {
    throw InputError("--grid is \"" + text + "\", must be between 0.1 mm and 10 m");
  }
  return step_m;
}

/// What a person types to get these results again.
std::string command_text(const MapArguments& options) {
  std::string text = "sweepflux map " + shell_word(options.survey);
  if (options.method != "default") {
    text += " --method " + options.method;
  }
  if (!options.grid.empty()) {
    text += " --grid " + shell_word(options.grid);
  }
  if (!options.out.empty()) {
    text += " --out " + shell_word(options.out);
  }
  return text;
}

std::vector<fs::path> inputs_of(const Survey& survey) {
  std::vector<fs::path> inputs = {survey.file};
  for (const Sweep& sweep : survey.sweeps) {
    inputs.push_back(sweep.file);
  }
  return inputs;
}

/// A table for each log that the survey names, so that every reading can be traced to its lines.
void add_reduced_logs(const std::vector<ReducedLog>& logs, ResultFolder& folder) {
  std::set<std::string> used;
  for (const ReducedLog& log : logs) {
    folder.add(table_name(log.file, "-sweep.csv", used), reduced_sweep_csv(log));
  }
}

void run(const MapArguments& options, Session& session) {
  session.apply(options);
  MapOptions map_options;
  map_options.method = to_method(options.method);
  map_options.grid_step_m = to_grid_step_m(options.grid);
  map_options.threads = options.threads;
  Survey survey = read_survey(options.survey);
  const std::vector<ReducedLog> logs = reduce_logs(survey, session.progress());

  std::optional<ResultFolder> folder = result_folder_if_wanted(
      options, folder_beside(options.survey, "-results"), inputs_of(survey));
  SurveyResult result;
  {
    const Progress progress = session.progress();
    result = map_survey(survey, map_options, progress);
    if (folder) {
      add_map_files(result,
                    options.no_pictures ? Pictures::none : Pictures::all,
                    command_text(options),
                    options.threads,
                    *folder,
                    progress);
      add_reduced_logs(logs, *folder);
      folder->write(progress.stop_wanted);
    }
  }
  if (options.json) {
    session.give(summary_json(result));
  }
  session.say(map_text(result));
  if (folder) {
    session.say_place("Results are", folder->target());
  }
}

}  // namespace

Command make_map_command() {
  const auto options = std::make_shared<MapArguments>();
  Command command = {
      "map",
      "Make plane maps, flow, momentum and power from a survey's sweeps",
      "sweepflux map heron-3/survey.toml --out heron-3-map\n"
      "  reads the survey and every sweep that it names, prints flow and momentum at each\n"
      "  distance, and writes tables, pictures and a page into heron-3-map. A map has 4 million\n"
      "  cells at most, a survey 1 MiB.",
      common_options(*options, "Folder for the results; else <survey>-results beside the survey"),
      [options](Session& session) { run(*options, session); }};
  command.options.insert(
      command.options.end(),
      {{"survey", &options->survey, "The survey's file", "SURVEY.toml", Need::required},
       {"--method",
        &options->method,
        "How the field is made: default, kriging, linear, thin-plate, inverse-distance",
        "NAME"},
       {"--grid",
        &options->grid,
        "Step of the maps, such as \"10 mm\", from 0.1 mm to 10 m; else chosen",
        "LENGTH"},
       {"--threads",
        &options->threads,
        "Threads at most; else as many as there are cores",
        "N",
        Need::optional,
        thread_count},
       {"--no-pictures", &options->no_pictures, "Write tables only"}});
  return command;
}

}  // namespace sweepflux::tool
