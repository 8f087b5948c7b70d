#include "tool/follow_command.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/log/reduce_survey.hpp"
#include "sweepflux/map/map_survey.hpp"
#include "sweepflux/record/folder.hpp"
#include "sweepflux/record/follow_journal.hpp"
#include "sweepflux/record/reduced_sweep.hpp"
#include "tool/follow_screen.hpp"
#include "tool/follow_source.hpp"
#include "tool/log_options.hpp"
#include "tool/plane_text.hpp"
#include "tool/reduced_text.hpp"
#include "tool/stop_signal.hpp"

#include <chrono>
#include <cmath>
#include <cstdlib>
#include <limits>
#include <optional>
#include <sys/ioctl.h>
#include <unistd.h>

namespace sweepflux::tool {
namespace {

namespace fs = std::filesystem;
using Clock = std::chrono::steady_clock;

constexpr int wait_ms = 100;
constexpr double seconds_between_pages = 0.5;

struct FollowArguments : CommonOptions {
  std::string source;
  LogOptions log;
  std::string survey;
  std::string distance;
  std::string height;
  std::string until_idle;
  int baud = 0;
  bool fresh = false;
};

fs::path usual_folder(const std::string& source) {
  return source == "-" ? fs::path("followed") : folder_beside(source, "-followed");
}

ScreenSize terminal_size() {
  ScreenSize size;
  struct winsize window {};
  if (::ioctl(STDOUT_FILENO, TIOCGWINSZ, &window) == 0 && window.ws_col >= 20) {
    size.columns = window.ws_col;
    size.rows = std::max<int>(10, window.ws_row - 1);
  }
  size.utf8 = false;
  for (const char* name : {"LC_ALL", "LC_CTYPE", "LANG"}) {
    const char* value = std::getenv(name);
    if (value != nullptr && *value != '\0') {
      const std::string text = value;
      size.utf8 = text.find("UTF-8") != std::string::npos || text.find("utf8") != std::string::npos;
      break;
    }
  }
  return size;
}

/// Draws at most twice a second, over what was drawn before.
class Page {
 public:
  Page(Session& session, bool on) : session_(session), on_(on) {}
  ~Page() = default;

  [[nodiscard]] bool due() {
    const Clock::time_point now = Clock::now();
    if (!on_ || std::chrono::duration<double>(now - last_).count() < seconds_between_pages) {
      return false;
    }
    last_ = now;
    return true;
  }

  void show(const std::string& text) {
    std::string page = started_ ? "\x1b[H" : "\x1b[2J\x1b[H";
    started_ = true;
    for (const char c : text) {
      page += c == '\n' ? std::string("\x1b[K\n") : std::string(1, c);
    }
    session_.say(page + "\x1b[J");
    session_.finish();
  }

 private:
  Session& session_;
  bool on_;
  bool started_ = false;
  Clock::time_point last_{};
};

/// Feeds what comes until the source ends, the user stops it, or nothing has come for long.
template <typename Data, typename Anew, typename Tick>
void pump(FollowSource& source, double idle_limit_s, Data data, Anew anew, Tick tick) {
  std::string bytes;
  Clock::time_point last_data = Clock::now();
  while (stop_signal() == 0) {
    const FollowSource::State state = source.read(bytes, wait_ms);
    if (state == FollowSource::State::ended) {
      return;
    }
    if (state == FollowSource::State::data) {
      last_data = Clock::now();
      data(bytes);
    } else if (state == FollowSource::State::began_anew) {
      anew();
    }
    const double idle_s = std::chrono::duration<double>(Clock::now() - last_data).count();
    if (!tick() || idle_s > idle_limit_s) {
      return;
    }
  }
}

/// What the reducer makes of all it was fed. Where that is nothing, and the user stopped it, the
/// stop is the reason.
template <typename Reducer>
auto finished(Reducer& reducer) {
  try {
    return reducer.finish();
  } catch (const NumericalError& error) {
    if (stop_signal() == 0) {
      throw;
    }
    throw Interrupted(std::string("stopped; nothing was written: ") + error.what());
  }
}

double idle_limit(const FollowArguments& options) {
  return options.until_idle.empty() ? std::numeric_limits<double>::infinity()
                                    : parse_quantity(options.until_idle, Dimension::time);
}

/// What must be the same for a run to go on with another's journal.
std::string fingerprint(const LogOptions& o) {
  std::string text;
  for (const std::string& part : {o.time_column,
                                  o.position_column,
                                  o.value_column,
                                  o.time_unit,
                                  o.position_unit,
                                  o.value_unit,
                                  o.dates,
                                  o.settle,
                                  o.tolerance,
                                  o.start,
                                  o.step,
                                  o.dwell,
                                  o.move,
                                  o.begin,
                                  o.steps_file,
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

/// Takes up what a killed run had reduced; the source goes on where that had come to.
void resume(const JournalContent& old, FollowSource& source, LogFollower& follower) {
  const bool same_file =
      source.is_file() && source.id() == old.source_id && source.size() >= old.mark.byte;
  std::string opening;
  if (same_file && old.mark.byte > 0) {
    std::string bytes;
    while (opening.size() < std::min<std::size_t>(old.mark.byte, 1U << 16) &&
           source.read(bytes, 0) == FollowSource::State::data) {
      opening += bytes;
    }
    opening.resize(std::min(opening.size(), old.mark.byte));
    follower.learn_columns(opening);
    source.seek(old.mark.byte);
  }
  FollowMark mark = old.mark;
  if (!same_file) {
    mark.byte = 0;
    mark.line = 0;
  }
  follower.resume(old.dwells, mark);
}

/// The plane as it stands with the new sweep, and what to do next.
std::string plane_result(const FollowArguments& options,
                         const ReducedLog& reduced,
                         Session& session) {
  Survey survey =
      read_survey_and_logs(options.survey, {.sweeps_required = false}, session.progress());
  const double distance_m = parse_quantity(options.distance, Dimension::length);
  survey.sweeps.push_back(
      sweep_of(reduced, distance_m, parse_quantity(options.height, Dimension::length)));
  MapOptions map_options;
  map_options.hold_out = false;
  const Progress progress = session.progress();
  return running_plane_text(map_survey(survey, map_options, progress), distance_m);
}

void follow_scale(const FollowArguments& options, Session& session, bool live) {
  const ReduceSettings settings = to_reduce_settings(options.log);
  const ScaleOptions scale = to_scale_options(options.log);
  ResultFolder folder(options.out.empty() ? usual_folder(options.source) : fs::path(options.out),
                      {options.source});
  FollowSource source(options.source, options.baud);
  LineFeed feed(options.source, settings.format);
  ScaleReducer reducer(scale);
  SteadyWatch watch(6.0, scale.resolution_n);
  std::vector<double> recent;
  double second = -1e300;
  double last_n = 0.0;
  bool was_steady = false;
  Page page(session, live);
  pump(
      source,
      idle_limit(options),
      [&](const std::string& bytes) {
        feed.feed(bytes, [&](const LogSample& sample) {
          reducer.add(sample);
          if (sample.fault != SampleFault::none) {
            return;
          }
          watch.add(sample.time_s, sample.value);
          last_n = sample.value;
          if (std::floor(sample.time_s) != second) {
            second = std::floor(sample.time_s);
            recent.push_back(sample.value);
            recent.erase(recent.begin(), recent.size() > 120 ? recent.begin() + 1 : recent.begin());
          }
          if (!live && watch.steady() != was_steady) {
            was_steady = !was_steady;
            session.say(aligned(sample.time_s, 10, 1) +
                        (was_steady ? " s  steady at " +
                                          format_number(
                                              watch.mean_n() * 1000.0 / standard_gravity_m_s2, 4) +
                                          " g\n"
                                    : std::string(" s  not yet steady\n")));
          }
        });
      },
      [&] { (void)feed.restart(); },
      [&] {
        if (page.due()) {
          page.show(scale_screen(
              options.source, feed.counts().rows, last_n, watch, recent, terminal_size()));
        }
        return true;
      });
  ScaleLog log = finished(reducer);
  log.file = options.source;
  log.counts = feed.counts();
  folder.add("thrust.csv", scale_csv(log));
  folder.write();
  if (options.json) {
    session.give(scale_json(log));
  }
  session.say("\n" + scale_text(log) + "\nResults are in " + folder.target().string() + "\n");
}

void follow_sweep(const FollowArguments& options, Session& session, bool live) {
  const ReduceSettings settings = to_reduce_settings(options.log);
  const Motion motion = settings.format.motion;
  ResultFolder folder(options.out.empty() ? usual_folder(options.source) : fs::path(options.out),
                      {options.source});
  const fs::path journal_file = folder.target().string() + ".journal";
  FollowSource source(options.source, options.baud);
  if (options.fresh) {
    std::error_code ignored;
    fs::remove(journal_file, ignored);
  }
  const std::string mark = fingerprint(options.log);
  const std::optional<JournalContent> old = FollowJournal::read(journal_file);
  if (old && old->settings != mark) {
    throw InputError(journal_file.string() +
                     ": an earlier run with other settings was not finished; use its settings to "
                     "go on with it, or --fresh to give up what it had reduced");
  }
  FollowJournal journal(journal_file, mark, source.id());
  std::optional<LogFollower> follower;
  follower.emplace(
      options.source, settings, [&](std::span<const Dwell> done, const FollowMark& at) {
        journal.add(done, at);
        if (!live) {
          std::size_t count = follower->dwells().size() - done.size();
          for (const Dwell& dwell : done) {
            session.say(dwell_line(dwell, ++count, motion));
          }
          session.finish();
        }
      });
  if (old) {
    resume(*old, source, *follower);
    session.say("went on with " + std::to_string(old->dwells.size()) +
                " dwells of an earlier run\n");
  }
  Page page(session, live);
  pump(
      source,
      idle_limit(options),
      [&](const std::string& bytes) { follower->feed(bytes); },
      [&] { follower->restart(); },
      [&] {
        if (page.due()) {
          page.show(follow_screen(follower->view(), follower->dwells(), motion, terminal_size()));
        }
        return !follower->complete();
      });
  const ReducedLog reduced = finished(*follower);
  folder.add("sweep.csv", reduced_sweep_csv(reduced));
  folder.write();
  journal.remove();
  if (options.json) {
    session.give(reduced_json(reduced));
  }
  session.say("\n" + reduced_text(reduced));
  if (!options.survey.empty()) {
    session.say("\n" + plane_result(options, reduced, session));
  }
  session.say("\nResults are in " + folder.target().string() + "\n");
}

void run(const FollowArguments& options, Session& session) {
  session.heed(options);
  if (!options.survey.empty() && (options.distance.empty() || options.height.empty())) {
    throw InputError("--survey needs --distance and --height of the sweep that is being made");
  }
  const bool live = !options.quiet && !options.json && ::isatty(STDOUT_FILENO) == 1;
  if (options.log.scale) {
    follow_scale(options, session, live);
  } else {
    follow_sweep(options, session, live);
  }
}

}  // namespace

Command make_follow_command() {
  const auto options = std::make_shared<FollowArguments>();
  Command command = {
      "follow",
      "Watch and reduce a log while the rig runs",
      "sweepflux follow logs/running.csv --survey survey.toml --distance \"1.5 m\" "
      "--height \"0.92 m\"\n"
      "  shows the profile as it grows, until Ctrl-C or --until-idle; then writes the sweep and\n"
      "  says what the plane looks like with it, and which sweep to make next.\n"
      "  A killed run is taken up again by the same line. `-` reads standard input; a serial\n"
      "  device is named like a file. Do not leave a rig alone on the strength of this program.",
      common_options(*options, "Folder for the results; else <source>-followed"),
      [options](Session& session) { run(*options, session); }};
  command.options.insert(
      command.options.end(),
      {{"source",
        &options->source,
        "A growing file, a serial device, or -",
        "SOURCE",
        Need::required},
       {"--survey", &options->survey, "Survey that the sweep belongs to", "SURVEY.toml"},
       {"--distance", &options->distance, "Of this sweep", "LENGTH"},
       {"--height", &options->height, "Of this sweep", "LENGTH"},
       {"--until-idle", &options->until_idle, "End when nothing has come for so long", "TIME"},
       {"--baud", &options->baud, "Speed of a serial line", "N"},
       {"--fresh", &options->fresh, "Give up what a killed run had reduced"}});
  add_log_options(command.options, options->log);
  return command;
}

}  // namespace sweepflux::tool
