#include "sweepflux/record/follow_journal.hpp"
#include "sweepflux/record/reduced_sweep.hpp"
#include "tests/support/shared_folder.hpp"
#include "tests/support/simulated_log.hpp"
#include "tool/follow_command.hpp"
#include "tool/follow_screen.hpp"
#include "tool/program.hpp"
#include "tool/reduce_command.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <limits>

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
  constexpr AddCommand commands[] = {add_reduce_command, add_follow_command};
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

TEST(FollowJournal, ComesBackAsItWasAndHeedsNoHalfLine) {
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
    FollowJournal journal(file, "settings|", 42);
    journal.add(std::span(&dwell, 1), mark);
    dwell.position = 0.2;
    journal.add(std::vector<Dwell>{dwell, dwell}, mark);
  }
  std::string text = text_of(file);
  std::ofstream(file, std::ios::binary) << text.substr(0, text.size() - 9);  // killed while writing
  const auto content = FollowJournal::read(file);
  ASSERT_TRUE(content.has_value());
  EXPECT_EQ(content->settings, "settings|");
  EXPECT_EQ(content->source_id, 42U);
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
    FollowJournal again(file, "settings|", 42);
    again.add(std::span(&dwell, 1), mark);
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
