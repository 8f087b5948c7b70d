#include "sweepflux/base/error.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/record/follow_journal.hpp"
#include "sweepflux/record/reduced_sweep.hpp"
#include "tool/commands.hpp"
#include "tool/follow_next.hpp"
#include "tool/follow_options.hpp"
#include "tool/follow_screen.hpp"
#include "tool/read_inputs.hpp"
#include "tool/reduced_text.hpp"
#include "tool/source_pump.hpp"
#include "tool/stop_signal.hpp"

#include <algorithm>
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

constexpr double seconds_between_pages = 0.5;

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

  void show(const std::string& text) { session_.redraw(text); }

 private:
  Session& session_;
  bool on_;
  Clock::time_point last_{};
};

/// A file is read again from its start, which gives all that a killed run had reduced, if it is
/// still the log that this run had read.
void check_same_log(const FollowSource& source, const JournalContent& old) {
  if (source.fingerprint(old.mark.byte) != old.fingerprint) {
    throw InputError(source.name() +
                     ": is not the log that an unfinished run had read so far; name that log, or "
                     "give --fresh to give up what was reduced of it");
  }
}

void follow_scale(const FollowArguments& options, Session& session, bool live) {
  const ReduceSettings settings = to_reduce_settings(options.log);
  const ScaleOptions scale = to_scale_options(options.log);
  ResultFolder folder = folder_of(options);
  FollowSource source(options.source, to_serial_line(options.serial));
  LineFeed feed(options.source, format_for(source, settings.format));
  if (source.is_device()) {
    feed.may_begin_in_line();
  }
  ScaleReducer reducer(scale);
  SteadyWatch watch(6.0, scale.resolution_n);
  std::vector<double> recent;
  double second = -1e300;
  double last_n = 0.0;
  bool was_steady = false;
  Page page(session, live);
  const std::size_t bytes = pump(
      source,
      idle_limit(options.until_idle),
      [&](const std::string& piece) {
        feed.came_at(arrival_s());
        feed.feed(piece, [&](const LogSample& sample) {
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
      [&](FollowSource::State state) {
        if (state == FollowSource::State::began_anew) {
          (void)feed.restart();
        } else {
          (void)feed.give_up_half_line();
          feed.may_begin_in_line();
        }
      },
      [&] {
        if (page.due()) {
          page.show(scale_screen(
              options.source, feed.counts().rows, last_n, watch, recent, terminal_size()));
        }
        return true;
      });
  ScaleLog log = finished(reducer, options.source, bytes, feed.counts().rows);
  log.file = options.source;
  log.counts = feed.counts();
  folder.add("thrust.csv", scale_csv(log));
  folder.write();
  if (options.json) {
    session.give(scale_json(log));
  }
  session.say("\n" + scale_text(log));
  session.say_place("Results are", folder.target());
}

/// Reduces dwell by dwell, from what an earlier run left on.
ReducedLog reduce_as_it_comes(const FollowArguments& options,
                              const std::optional<JournalContent>& old,
                              FollowSource& source,
                              FollowJournal& journal,
                              Session& session,
                              bool live) {
  ReduceSettings settings = follow_settings(options);
  settings.format = format_for(source, settings.format);
  const Motion motion = settings.format.motion;
  StopLines lines(settings);
  std::optional<LogFollower> follower;
  follower.emplace(
      options.source, settings, [&](std::span<const Dwell> done, const FollowMark& at) {
        journal.add(done, at, source.fingerprint(at.byte));
        if (!live) {
          session.say(lines.lines(follower->dwells(), follower->final_dwells().size()));
          session.finish();
        }
      });
  if (source.is_device()) {
    follower->may_begin_in_line();
  }
  if (old) {
    if (!source.is_file()) {  // of a stream the reduced dwells are what is left
      FollowMark begin = old->mark;
      begin.byte = 0;
      begin.line = 0;
      follower->resume(old->dwells, begin);
    }
    session.say("went on with " + std::to_string(old->dwells.size()) +
                " dwells of an earlier run\n");
  }
  if (!live) {
    session.say(lines.opening());
    session.finish();
  }
  Page page(session, live);
  const std::size_t bytes = pump(
      source,
      idle_limit(options.until_idle),
      [&](const std::string& piece) {
        follower->came_at(arrival_s());
        follower->feed(piece);
      },
      [&](FollowSource::State state) {
        if (state == FollowSource::State::began_anew) {
          follower->restart();
        } else {
          follower->line_came_back();
        }
      },
      [&] {
        if (page.due()) {
          page.show(follow_screen(follower->view(), follower->dwells(), motion, terminal_size()));
        }
        return !follower->complete();
      });
  ReducedLog reduced = finished(
      *follower, options.source, bytes + (old ? old->mark.byte : 0), follower->view().rows);
  if (reduced.pattern_begin_s && !live && !settings.pattern) {
    lines = StopLines(settings);
    session.say("all stops again, now that their times are known:\n");
  }
  session.say(live ? "\n" + reduced_text(reduced)
                   : lines.lines(follower->dwells(), follower->final_dwells().size()) + "\n" +
                         StopLines::end(reduced));
  return reduced;
}

void follow_sweep(const FollowArguments& options, Session& session, bool live) {
  ResultFolder folder = folder_of(options);
  const fs::path journal_file = folder.target().string() + ".journal";
  FollowSource source(options.source, to_serial_line(options.serial));
  if (options.fresh) {
    std::error_code ignored;
    fs::remove(journal_file, ignored);
  }
  const std::string mark = settings_text(options.log);
  const std::optional<JournalContent> old = FollowJournal::read(journal_file);
  if (old && old->settings != mark) {
    throw InputError(journal_file.string() +
                     ": an earlier run with other settings was not finished; use its settings to "
                     "go on with it, or --fresh to give up what it had reduced");
  }
  if (old && source.is_file()) {
    check_same_log(source, *old);
    std::error_code ignored;
    fs::remove(journal_file, ignored);
  }
  FollowJournal journal(journal_file, mark);
  ReducedLog reduced;
  try {
    reduced = reduce_as_it_comes(options, old, source, journal, session, live);
    folder.add("sweep.csv", reduced_sweep_csv(reduced));
    folder.write();
  } catch (const SystemError&) {
    if (source.is_file()) {
      journal.remove();  // the log holds all of it, and the disk may be full
    }
    throw;
  }
  journal.remove();
  if (options.json) {
    session.give(reduced_json(reduced));
  }
  if (!options.survey.empty()) {
    say_next(options, reduced, folder, session);
  }
  session.say_place("Results are", folder.target());
}

void run(const FollowArguments& given, Session& session) {
  session.apply(given);
  FollowArguments options = given;
  complete_place(options);
  check_survey(options);
  (void)idle_limit(options.until_idle);
  (void)to_serial_line(options.serial);
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
      "  sweepflux follow /dev/ttyUSB0 --serial 9600,8N1 --columns \"speed [m/s]\" "
      "--steps heron-3-plan/steps.csv --sweep 1 --survey survey.toml --append\n"
      "  reads bare lines of an anemometer on a serial line while the rig makes the first sweep\n"
      "  of a plan, adds the sweep to the survey, and writes the next one as steps and program.\n"
      "  Start it together with the rig: the list's time begins with the first row.\n"
      "  A killed run is taken up again by the same line. `-` reads standard input; a serial\n"
      "  device is named like a file. Do not leave a rig alone on the strength of this program.",
      common_options(
          *options,
          "Folder for the results; else <source>-followed",
          {{"source",
            &options->source,
            "A growing file, a serial device, or -",
            "SOURCE",
            Need::required},
           {"--survey", &options->survey, "Survey that the sweep belongs to", "SURVEY.toml"},
           {"--setting",
            &options->setting,
            "Setting of a campaign, such as heron-3, that the sweep belongs to",
            "NAME"},
           {"--distance", &options->log.distance, "Of this sweep", "LENGTH"},
           {"--height", &options->log.height, "Of this sweep", "LENGTH"},
           {"--until-idle", &options->until_idle, "End when nothing has come for so long", "TIME"},
           {"--append",
            &options->append,
            "Add the sweep to the survey's file, and plan the next one"},
           {"--serial",
            &options->serial,
            "Speed and framing of a serial line, such as 9600 or 9600,8N1",
            "LINE"},
           {"--fresh", &options->fresh, "Discard what an interrupted run had reduced"}}),
      [options](Session& session) { run(*options, session); }};
  add_log_options(command.options, options->log);
  return command;
}

}  // namespace sweepflux::tool
