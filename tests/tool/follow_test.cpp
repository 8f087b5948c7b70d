#include "sweepflux/record/follow_journal.hpp"
#include "sweepflux/record/reduced_sweep.hpp"
#include "tests/support/shared_folder.hpp"
#include "tests/support/simulated_log.hpp"
#include "tool/commands.hpp"
#include "tool/follow_screen.hpp"
#include "tool/follow_source.hpp"
#include "tool/program.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <csignal>
#include <fstream>
#include <limits>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>
#include <utility>

namespace sweepflux::tool {
namespace {

namespace fs = std::filesystem;

std::string text_of(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

struct Outcome {
  int code = 0;
  std::string out;
  std::string err;
};

Outcome run(const std::vector<std::string>& arguments) {
  const fs::path folder = test::scratch_folder();
  std::FILE* out = std::fopen((folder / "out").c_str(), "w");
  std::FILE* err = std::fopen((folder / "err").c_str(), "w");
  const std::vector<Command> commands = {make_reduce_command(), make_follow_command()};
  Outcome outcome;
  outcome.code = run_program(arguments, commands, out, err);
  std::fclose(out);
  std::fclose(err);
  outcome.out = text_of(folder / "out");
  outcome.err = text_of(folder / "err");
  return outcome;
}

fs::path write_log(const fs::path& folder) {
  test::SimulatedRig rig;
  fs::path log = folder / "near.csv";
  std::ofstream(log, std::ios::binary) << test::log_text(rig.stop_and_go());
  return log;
}

TEST(Reduce, WritesASweepAndTracesItToTheLog) {
  const fs::path folder = test::scratch_folder();
  const fs::path log = write_log(folder);
  const Outcome done = run({"reduce", log.string(), "--out", (folder / "out").string()});
  ASSERT_EQ(done.code, 0) << done.err;
  const std::string csv = text_of(folder / "out" / "near-sweep.csv");
  EXPECT_NE(csv.find("angle [deg],speed [m/s],spread [m/s],standard_error [m/s],samples,dwell "
                     "[s],time [s]"),
            std::string::npos);
  EXPECT_NE(csv.find("# reduced from the raw log near.csv (13230 rows)"), std::string::npos);
  EXPECT_NE(done.out.find("21 readings from 13230 rows"), std::string::npos) << done.out;
}

TEST(Reduce, RefusesToWriteOverItsInput) {
  const fs::path folder = test::scratch_folder();
  const fs::path log = write_log(folder);
  EXPECT_EQ(run({"reduce", log.string(), "--out", folder.string()}).code, 2);
}

TEST(Reduce, FaultsOfTheUsageAreCodeTwo) {
  const fs::path log = write_log(test::scratch_folder());
  EXPECT_EQ(run({"reduce", log.string(), "--settle", "2", "--json"}).code, 2);
  EXPECT_EQ(run({"reduce", log.string(), "--start", "0 deg", "--json"}).code, 2);
  EXPECT_EQ(run({"reduce", (log.parent_path() / "none.csv").string(), "--json"}).code, 2);
  EXPECT_EQ(run({"reduce", log.string(), "--value-column", "wind", "--json"}).code, 2);
}

TEST(Follow, GivesTheSameSweepAsReduce) {
  const fs::path folder = test::scratch_folder();
  const fs::path log = write_log(folder);
  ASSERT_EQ(
      run({"reduce", log.string(), "--settle", "0.5 s", "--out", (folder / "a").string()}).code, 0);
  const Outcome followed = run({"follow",
                                log.string(),
                                "--settle",
                                "0.5 s",
                                "--until-idle",
                                "0.3 s",
                                "--out",
                                (folder / "b").string()});
  ASSERT_EQ(followed.code, 0) << followed.err;
  const auto rows = [](const std::string& csv) { return csv.substr(csv.find("angle [deg]")); };
  EXPECT_EQ(rows(text_of(folder / "a" / "near-sweep.csv")),
            rows(text_of(folder / "b" / "sweep.csv")));
  EXPECT_FALSE(fs::exists(folder / "b.journal"));
}

TEST(Follow, FindsFaultsOfWhatComesAfterTheRunBeforeIt) {
  const fs::path folder = test::scratch_folder();
  const fs::path log = write_log(folder);
  const std::string survey = (test::source_folder() / "scans/heron-1/survey.toml").string();
  struct Case {
    std::vector<std::string> options;
    std::string words;
  };
  for (const Case& one :
       {Case{{"--survey", survey}, "--survey needs --distance and --height"},
        {{"--survey", "none.toml", "--distance", "1 m", "--height", "1 m"}, "none.toml"},
        {{"--survey", survey, "--distance", "1 kg", "--height", "1 m"}, "--distance: "},
        {{"--survey", survey, "--distance", "1 m", "--height", "x"}, "--height: "},
        {{"--survey", survey, "--distance", "1 m", "--height", "900 km"}, "within 1000 m"},
        {{"--distance", "1 m"}, "need --survey"},
        {{"--until-idle", "soon"}, "--until-idle: "},
        {{"--out", (folder / "none/out").string()}, "no such folder for the results"}}) {
    std::vector<std::string> arguments = {"follow", log.string(), "--until-idle", "0.1 s"};
    if (one.options.front() == "--until-idle") {
      arguments.resize(2);
    }
    arguments.insert(arguments.end(), one.options.begin(), one.options.end());
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.code, 2) << outcome.err;
    EXPECT_NE(outcome.err.find(one.words), std::string::npos) << outcome.err;
    EXPECT_EQ(outcome.out, "") << "nothing was read";
  }
  EXPECT_FALSE(fs::exists(folder / "near-followed.journal"));
}

TEST(Follow, SaysThatALogIsEmptyOrHasAHeadingOnly) {
  const fs::path log = test::scratch_folder() / "log.csv";
  for (const auto& [text, words] :
       {std::pair{"", ": nothing came from it"},
        {"time [s],angle [deg],speed [m/s]\n", ": no row of data came below a heading"}}) {
    std::ofstream(log, std::ios::binary) << text;
    for (const bool scale : {false, true}) {
      std::vector<std::string> arguments = {"follow", log.string(), "--until-idle", "0.1 s"};
      if (scale) {
        arguments.emplace_back("--scale");
      }
      const Outcome outcome = run(arguments);
      EXPECT_EQ(outcome.code, 2) << outcome.err;
      EXPECT_NE(outcome.err.find(log.string() + words), std::string::npos) << outcome.err;
    }
  }
}

TEST(Follow, ReadsALogWhoseLinesEndWithCarriageReturns) {
  const fs::path folder = test::scratch_folder();
  const fs::path log = write_log(folder);
  std::string text = text_of(log);
  std::replace(text.begin(), text.end(), '\n', '\r');
  std::ofstream(folder / "cr.csv", std::ios::binary) << text;
  const auto follow = [&](const fs::path& file, const char* out) {
    const Outcome done =
        run({"follow", file.string(), "--until-idle", "0.2 s", "--out", (folder / out).string()});
    EXPECT_EQ(done.code, 0) << done.err;
    const std::string csv = text_of(folder / out / "sweep.csv");
    return csv.substr(std::min(csv.size(), csv.find("angle [deg]")));
  };
  EXPECT_EQ(follow(folder / "cr.csv", "a"), follow(log, "b"));
}

TEST(FollowSource, KnowsALogThatWasWrittenAnewHoweverLongItIs) {
  const fs::path log = test::scratch_folder() / "log.csv";
  std::ofstream(log, std::ios::binary) << "time,speed\n1,2\n";
  FollowSource source(log.string());
  std::string bytes;
  ASSERT_EQ(source.read(bytes, 0), FollowSource::State::data);
  std::ofstream(log, std::ios::app) << "2,3\n";
  ASSERT_EQ(source.read(bytes, 0), FollowSource::State::data);
  EXPECT_EQ(bytes, "2,3\n") << "grown";
  const std::uint64_t before = source.fingerprint(19);
  for (const char* anew : {"time,speed\n7,2\n8,3\n9,4\n", "time,speed\n7,2\n8,3\n"}) {
    std::ofstream(log, std::ios::trunc | std::ios::binary) << anew;
    EXPECT_EQ(source.read(bytes, 0), FollowSource::State::began_anew);
    ASSERT_EQ(source.read(bytes, 0), FollowSource::State::data);
    EXPECT_EQ(bytes, anew);
    EXPECT_NE(source.fingerprint(19), before);
  }
}

TEST(Follow, GoesOnWithTheLogThatItHadReadAndWithNoOther) {
  const fs::path folder = test::scratch_folder();
  const fs::path log = write_log(folder);
  const std::string text = text_of(log);
  const std::vector<std::string> always = {
      "follow", log.string(), "--settle", "0.5 s", "--out", (folder / "out").string()};
  std::vector<std::string> arguments = always;
  arguments.insert(arguments.end(), {"--until-idle", "0.2 s"});
  ASSERT_EQ(run(arguments).code, 0);
  const std::string whole = text_of(folder / "out/sweep.csv");
  // What a run leaves that is killed: its journal, taken while it waits for its second half.
  const auto leave_journal = [&] {
    std::ofstream(log, std::ios::binary) << text.substr(0, text.size() / 2);
    fs::remove_all(folder / "out");
    const pid_t child = ::fork();
    if (child == 0) {
      std::FILE* const none = std::fopen("/dev/null", "w");
      const std::vector<Command> commands = {make_follow_command()};
      (void)run_program(always, commands, none, none);
      ::_exit(0);
    }
    const fs::path journal = folder / "out.journal";
    for (int i = 0; i < 200 && !FollowJournal::read(journal); ++i) {
      std::this_thread::sleep_for(std::chrono::milliseconds(50));
    }
    ::kill(child, SIGKILL);
    ::waitpid(child, nullptr, 0);
    ASSERT_TRUE(FollowJournal::read(journal).has_value());
  };
  leave_journal();
  std::ofstream(log, std::ios::binary) << text;
  const Outcome resumed = run(arguments);
  EXPECT_EQ(resumed.code, 0) << resumed.err;
  EXPECT_NE(resumed.out.find("went on with"), std::string::npos) << resumed.out;
  EXPECT_EQ(std::count(whole.begin(), whole.end(), '\n'), [&] {
    const std::string now = text_of(folder / "out/sweep.csv");
    return std::count(now.begin(), now.end(), '\n');
  }());

  leave_journal();
  std::ofstream(log, std::ios::binary) << "# another day\n" << text;
  const Outcome refused = run(arguments);
  EXPECT_EQ(refused.code, 2) << refused.err;
  EXPECT_NE(refused.err.find("is not the log that an unfinished run had read"), std::string::npos)
      << refused.err;
  std::vector<std::string> fresh = arguments;
  fresh.emplace_back("--fresh");
  EXPECT_EQ(run(fresh).code, 0);
}

TEST(FollowJournal, ComesBackAsItWasAndIgnoresAHalfLine) {
  const fs::path file = test::scratch_folder() / "journal";
  Dwell dwell;
  dwell.position = 0.1;
  dwell.direction = -1;
  dwell.reading.mean = 2.3456789012345678;
  dwell.reading.samples = 812;
  dwell.reading.standard_error = std::numeric_limits<double>::quiet_NaN();
  dwell.reading.integral_time_s = 0.25;
  dwell.reading.evidence.degrees = 31.0F;
  dwell.reading.evidence.scale[39] = 0.1F;
  FollowMark mark;
  mark.byte = 1234;
  mark.learnt.settle_s = 1.5;
  mark.learnt.response.seen = true;
  mark.counts.rows = 56;
  {
    FollowJournal journal(file, "settings|");
    journal.add(std::span(&dwell, 1), mark, 0xfedcba9876543210U);
    dwell.position = 0.2;
    journal.add(std::vector<Dwell>{dwell, dwell}, mark, 7);
  }
  std::string text = text_of(file);
  std::ofstream(file, std::ios::binary) << text.substr(0, text.size() - 9);  // killed while writing
  const auto content = FollowJournal::read(file);
  ASSERT_TRUE(content.has_value());
  EXPECT_EQ(content->settings, "settings|");
  EXPECT_EQ(content->fingerprint, 0xfedcba9876543210U);
  ASSERT_EQ(content->dwells.size(), 1U);
  EXPECT_EQ(content->dwells[0].reading.mean, 2.3456789012345678);
  EXPECT_EQ(content->dwells[0].reading.samples, 812U);
  EXPECT_EQ(content->dwells[0].direction, -1);
  EXPECT_TRUE(std::isnan(content->dwells[0].reading.standard_error));
  EXPECT_EQ(content->dwells[0].reading.evidence.degrees, 31.0F);
  EXPECT_EQ(content->dwells[0].reading.evidence.scale[39], 0.1F);
  EXPECT_EQ(content->mark.byte, 1234U);
  EXPECT_EQ(content->mark.learnt.settle_s, 1.5);
  EXPECT_TRUE(content->mark.learnt.response.seen);
  EXPECT_EQ(content->mark.counts.rows, 56U);
  {
    FollowJournal again(file, "settings|");
    again.add(std::span(&dwell, 1), mark, 8);
  }
  EXPECT_EQ(FollowJournal::read(file)->dwells.size(), 2U);
}

TEST(FollowScreen, FitsTheTerminalAndShowsWhatMatters) {
  FollowView view;
  view.source = "logs/near.csv";
  view.since_start_s = 130.0;
  view.rows = 130000;
  view.last_value = 2.5;
  for (int i = 0; i < 120; ++i) {
    view.recent.push_back(2.0 + std::sin(0.1 * i));
  }
  view.open = {true, 0.0349, 3.0, 2.5, 300};
  view.usual_rest_s = 6.0;
  view.stops_wanted = 42;
  view.minutes_left = 2.2;
  view.warnings = {"a gap of 5 s before line 100"};
  std::vector<Dwell> dwells(20);
  for (std::size_t i = 0; i < dwells.size(); ++i) {
    dwells[i].position = 0.0349 * static_cast<double>(i) - 0.3;
    dwells[i].reading.mean = 1.0 + static_cast<double>(i % 7);
    dwells[i].reading.samples = 10;
    dwells[i].reading.standard_error = 0.1;
  }
  for (const bool utf8 : {false, true}) {
    for (const int columns : {40, 80, 120}) {
      const std::string page = follow_screen(view, dwells, Motion::swivel, {columns, 24, utf8});
      std::size_t lines = 0;
      int used = 0;
      for (const char c : page) {
        if (c == '\n') {
          EXPECT_LE(used, columns);
          used = 0;
          ++lines;
        } else if ((static_cast<unsigned char>(c) & 0xC0U) != 0x80U) {
          ++used;
        }
      }
      EXPECT_LE(lines, 24U);
      if (columns == 80) {
        EXPECT_NE(page.find("20 dwells done of 42, 2.2 min left"), std::string::npos) << page;
        EXPECT_NE(page.find("! a gap of 5 s"), std::string::npos);
        EXPECT_NE(page.find("3 s of about 6 s"), std::string::npos) << page;
      }
    }
  }
}

TEST(FollowScreen, SparkLineShowsTheNewestAndEveryLevel) {
  EXPECT_EQ(spark_line({0, 1, 2, 3, 4, 5, 6, 7}, 8, false), "_.-:=+*#");
  EXPECT_EQ(spark_line({9, 0, 7}, 2, false), "_#");
  EXPECT_EQ(spark_line({5, 5}, 8, true), "\u2581\u2581");
}

}  // namespace
}  // namespace sweepflux::tool
