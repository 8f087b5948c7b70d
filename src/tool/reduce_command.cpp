#include "sweepflux/base/error.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/log/follow_log.hpp"
#include "sweepflux/record/reduced_sweep.hpp"
#include "tool/commands.hpp"
#include "tool/follow_options.hpp"
#include "tool/log_options.hpp"
#include "tool/reduced_text.hpp"
#include "tool/result_files.hpp"
#include "tool/source_pump.hpp"

#include <algorithm>
#include <optional>
#include <set>
#include <vector>

namespace sweepflux::tool {
namespace {

namespace fs = std::filesystem;

struct ReduceArguments : CommonOptions {
  std::vector<std::string> logs;
  std::string serial;
  std::string until_idle;
  LogOptions log;
};

/// A stream can be read but once; a serial line ends when nothing has come for long.
bool is_stream(const fs::path& log) {
  std::error_code ignored;
  return log == "-" || fs::is_character_file(log, ignored);
}

/// Feeds all that comes from a stream.
///
/// @param feed  a LogFollower or a LineFeed
template <typename Feed, typename Take, typename CameBack>
void read_stream(FollowSource& source,
                 const ReduceArguments& options,
                 Feed& feed,
                 Take take,
                 CameBack came_back) {
  if (source.is_device()) {
    feed.may_begin_in_line();
  }
  const std::size_t bytes = pump(
      source,
      idle_limit(options.until_idle),
      [&](const std::string& piece) {
        feed.came_at(arrival_s());
        take(piece);
      },
      [&](FollowSource::State) { came_back(); },
      [] { return true; });
  if (bytes == 0) {
    throw InputError(source.name() + ": nothing came from it");
  }
}

ReducedLog reduce_stream(const fs::path& log,
                         ReduceSettings settings,
                         const ReduceArguments& options) {
  FollowSource source(log.string(), to_serial_line(options.serial));
  settings.format = format_for(source, settings.format);
  settings.format.arrival = settings.format.arrival && source.is_device();
  LogFollower follower(log.string(), settings, {});
  read_stream(
      source,
      options,
      follower,
      [&](const std::string& piece) { follower.feed(piece); },
      [&] { follower.line_came_back(); });
  return follower.finish();
}

ScaleLog reduce_scale_stream(const fs::path& log,
                             LogFormat format,
                             const ScaleOptions& scale,
                             const ReduceArguments& options) {
  FollowSource source(log.string(), to_serial_line(options.serial));
  format = format_for(source, format);
  format.arrival = format.arrival && source.is_device();
  LineFeed feed(log, format);
  ScaleReducer reducer(scale);
  read_stream(
      source,
      options,
      feed,
      [&](const std::string& piece) {
        feed.feed(piece, [&](const LogSample& sample) { reducer.add(sample); });
      },
      [&] {
        (void)feed.give_up_half_line();
        feed.may_begin_in_line();
      });
  ScaleLog reduced = reducer.finish();
  reduced.file = log;
  reduced.counts = feed.counts();
  return reduced;
}

/// Faults name the log, also those of opening it.
template <typename Reduce>
auto named(const fs::path& log, Reduce reduce) {
  try {
    return reduce();
  } catch (const SurveyError&) {
    throw;
  } catch (const InputError& error) {
    throw InputError(beginning_with(log.string(), error.what()));
  } catch (const NumericalError& error) {
    throw NumericalError(beginning_with(log.string(), error.what()));
  }
}

void run(const ReduceArguments& options, Session& session) {
  session.apply(options);
  std::vector<fs::path> logs(options.logs.begin(), options.logs.end());
  const fs::path first = logs.front();
  (void)to_serial_line(options.serial);
  (void)idle_limit(options.until_idle);
  const ReduceSettings settings = to_reduce_settings(options.log);
  const ScaleOptions scale = to_scale_options(options.log);
  std::optional<ResultFolder> folder =
      result_folder_if_wanted(options, folder_beside(first, "-reduced"), logs);
  std::string json;
  std::string text;
  std::set<std::string> used;
  for (const fs::path& log : logs) {
    const Progress progress = session.progress();
    const fs::path shown = log == "-" ? fs::path("stdin") : log;
    if (options.log.scale) {
      const ScaleLog reduced =
          named(log, [&] {
            return is_stream(log) ? reduce_scale_stream(log, settings.format, scale, options)
                                  : reduce_scale_log(log, settings.format, scale);
          });
      json += (json.empty() ? "" : ",\n") + scale_json(reduced);
      text += scale_text(reduced);
      if (folder) {
        folder->add(table_name(shown, "-thrust.csv", used), scale_csv(reduced));
      }
    } else {
      const ReducedLog reduced = named(log, [&] {
        return is_stream(log) && !settings.continuous
                   ? reduce_stream(log, settings, options)
                   : reduce_log(log == "-" ? fs::path("/dev/stdin") : log, settings, progress);
      });
      json += (json.empty() ? "" : ",\n") + reduced_json(reduced);
      text += reduced_text(reduced);
      if (folder) {
        folder->add(table_name(shown, "-sweep.csv", used), reduced_sweep_csv(reduced));
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
      "  shows, and writes near-0.92/near-0.92-sweep.csv, which a survey can name.\n"
      "  Without an angle column state the pattern of the sweep:\n"
      "  sweepflux reduce log.csv --start \"-24 deg\" --step \"2 deg\" --stops 25 --dwell \"8 "
      "s\"",
      common_options(*options,
                     "Folder for the results; else <log>-reduced beside the first log",
                     {{"logs",
                       &options->logs,
                       "Raw logs; they are only read; - is standard input, a serial device is "
                       "named like a file",
                       "LOG...",
                       Need::required},
                      {"--serial",
                       &options->serial,
                       "Speed and framing of a serial line, such as 9600 or 9600,8N1",
                       "LINE"},
                      {"--until-idle",
                       &options->until_idle,
                       "End of a serial line: when nothing has come for so long",
                       "TIME"}}),
      [options](Session& session) { run(*options, session); }};
  add_log_options(command.options, options->log);
  return command;
}

}  // namespace sweepflux::tool
