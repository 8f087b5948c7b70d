#include "tool/reduce_command.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/record/reduced_sweep.hpp"
#include "tool/log_options.hpp"
#include "tool/reduced_text.hpp"
#include "tool/result_place.hpp"

#include <algorithm>
#include <optional>
#include <set>
#include <vector>

namespace sweepflux::tool {
namespace {

namespace fs = std::filesystem;

struct ReduceArguments : CommonOptions {
  std::vector<std::string> logs;
  LogOptions log;
};

/// Faults name the log, also those of opening it.
template <typename Reduce>
auto named(const fs::path& log, Reduce reduce) {
  try {
    return reduce();
  } catch (const SurveyError&) {
    throw;
  } catch (const InputError& error) {
    const std::string what = error.what();
    throw InputError(what.starts_with(log.string()) ? what : log.string() + ": " + what);
  }
}

void run(const ReduceArguments& options, Session& session) {
  session.apply(options);
  std::vector<fs::path> logs(options.logs.begin(), options.logs.end());
  const fs::path first = logs.front();
  std::replace(logs.begin(), logs.end(), fs::path("-"), fs::path("/dev/stdin"));
  const ReduceSettings settings = to_reduce_settings(options.log);
  const ScaleOptions scale = to_scale_options(options.log);
  std::optional<ResultFolder> folder =
      result_folder_if_wanted(options, folder_beside(first, "-reduced"), logs);
  std::string json;
  std::string text;
  std::set<std::string> used;
  for (const fs::path& log : logs) {
    const Progress progress = session.progress();
    if (options.log.scale) {
      const ScaleLog reduced =
          named(log, [&] { return reduce_scale_log(log, settings.format, scale); });
      json += (json.empty() ? "" : ",\n") + scale_json(reduced);
      text += scale_text(reduced);
      if (folder) {
        folder->add(table_name(log, "-thrust.csv", used), scale_csv(reduced));
      }
    } else {
      const ReducedLog reduced = named(log, [&] { return reduce_log(log, settings, progress); });
      json += (json.empty() ? "" : ",\n") + reduced_json(reduced);
      text += reduced_text(reduced);
      if (folder) {
        folder->add(table_name(log, "-sweep.csv", used), reduced_sweep_csv(reduced));
      }
    }
  }
  if (folder) {
    folder->write();
  }
  if (options.json) {
    session.give(logs.size() == 1 ? json : "[" + json + "]\n");
  }
  session.say(text);
  if (folder) {
    session.say_place("Results are", folder->target());
  }
}

}  // namespace

Command make_reduce_command() {
  const auto options = std::make_shared<ReduceArguments>();
  Command command = {
      "reduce",
      "Turn raw logs into sweeps, or a balance's log into thrust",
      "sweepflux reduce logs/near-0.92.csv --out near-0.92\n"
      "  finds the dwells from the log's angle column, drops settling as the step response\n"
      "  tells, and writes near-0.92/near-0.92-sweep.csv, which a survey can name.\n"
      "  Without an angle column state the pattern of the sweep:\n"
      "  sweepflux reduce log.csv --start \"-24 deg\" --step \"2 deg\" --stops 25 --dwell \"8 "
      "s\"",
      common_options(*options, "Folder for the results; else <log>-reduced beside the first log"),
      [options](Session& session) { run(*options, session); }};
  command.options.insert(
      command.options.end(),
      {{"logs",
        &options->logs,
        "Raw logs; they are only read; - is standard input",
        "LOG...",
        Need::required}});
  add_log_options(command.options, options->log);
  return command;
}

}  // namespace sweepflux::tool
