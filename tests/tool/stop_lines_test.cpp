// What `follow` says where there is no terminal to draw on.
#include "sweepflux/derive/log/finish_sweep.hpp"
#include "sweepflux/derive/log/follow_log.hpp"
#include "tests/support/shared_folder.hpp"
#include "tests/support/simulated_log.hpp"
#include "tool/follow_screen.hpp"
#include "tool/reduced_text.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

namespace sweepflux::tool {
namespace {

/// Lines whose numbers are final, or not.
std::string lines_that(bool are_final, const std::string& text) {
  std::istringstream in(text);
  std::string kept;
  for (std::string line; std::getline(in, line);) {
    kept += (line.find(" so far") == std::string::npos) == are_final ? line + "\n" : "";
  }
  return kept;
}

struct Followed {
  std::vector<std::size_t> lines_after_stop;  ///< printed by then
  std::string lines;
  std::vector<ReducedReading> while_it_ran;  ///< as they stood when they were final
  ReducedLog reduced;
  ReducedLog whole;  ///< what reduce makes of the same rows
};

Followed follow(const std::vector<LogSample>& samples, const ReduceSettings& settings) {
  const std::string text = test::log_text(samples);
  const std::filesystem::path file = test::scratch_folder() / "log.csv";
  std::ofstream(file, std::ios::binary) << text;
  Followed done;
  StopLines lines(settings);
  std::optional<LogFollower> follower;
  const auto look = [&] {
    const std::span<const Dwell> final_dwells = follower->final_dwells();
    for (std::size_t i = done.while_it_ran.size(); i < final_dwells.size(); ++i) {
      done.while_it_ran.push_back(reading_of(final_dwells[i]));
    }
    done.lines += lines.lines(follower->dwells(), final_dwells.size());
  };
  follower.emplace(file.string(), settings, [&](std::span<const Dwell>, const FollowMark&) {
    look();
    done.lines_after_stop.push_back(done.while_it_ran.size());
  });
  for (std::size_t at = 0; at < text.size(); at += 500) {
    follower->feed(std::string_view(text).substr(at, 500));
  }
  done.reduced = follower->finish();
  look();
  done.whole = reduce_log(file, settings);
  return done;
}

void expect_final_from_the_first(const Followed& done) {
  ASSERT_EQ(done.while_it_ran.size(), done.whole.readings.size());
  std::string lines;
  for (std::size_t i = 0; i < done.whole.readings.size(); ++i) {
    const ReducedReading& now = done.whole.readings[i];
    EXPECT_EQ(done.while_it_ran[i].speed_m_s, now.speed_m_s) << i;
    EXPECT_EQ(done.while_it_ran[i].standard_error_m_s, now.standard_error_m_s) << i;
    EXPECT_EQ(done.reduced.readings[i].standard_error_m_s, now.standard_error_m_s) << i;
    lines += (i < 9 ? "  " : " ") + std::to_string(i + 1) + aligned(now.position / degree_rad, 8, 2) + " deg" +
             aligned(now.speed_m_s, 9, 3) + " m/s +-" + aligned_error(now.standard_error_m_s, 6, 3) + "\n";
  }
  EXPECT_EQ(lines_that(true, done.lines), lines) << "one line a stop, as reduce says";
}

TEST(StopLines, ComeOnceAndAreWhatReduceSaysOfTheSameRows) {
  ReduceSettings stated;
  stated.dwells.settle_s = 1.0;
  for (const std::uint64_t seed : {1U, 2U, 3U}) {
    test::SimulatedRig rig;
    rig.seed = seed;
    rig.stops = 31;
    rig.sensor_time_constant_s = 0.2;
    const Followed done = follow(rig.stop_and_go(), stated);
    expect_final_from_the_first(done);
    for (std::size_t stop = 1; stop < done.lines_after_stop.size(); ++stop) {
      EXPECT_EQ(done.lines_after_stop[stop - 1], stop < fewest_pooled ? 0 : stop);
    }
  }
}

TEST(StopLines, WaitForASettlingTimeThatIsNotStated) {
  test::SimulatedRig rig;
  rig.sensor_time_constant_s = 0.3;
  const Followed done = follow(rig.stop_and_go(), {});
  expect_final_from_the_first(done);
  EXPECT_GT(done.whole.settle_s, 0.9);
  EXPECT_EQ(done.lines_after_stop.at(15), 0U);
  const std::string before = lines_that(false, done.lines);
  EXPECT_EQ(before, done.lines.substr(0, before.size())) << "then all that are final";
  EXPECT_EQ(std::count(before.begin(), before.end(), '\n') + 1, std::ssize(done.whole.readings))
      << "each stop shows its speed when it ends; the last one is final then";
  EXPECT_EQ(before.find("+-"), std::string::npos) << "no uncertainty that would change";
  EXPECT_TRUE(before.starts_with("  1  -20.00 deg")) << before;
}

TEST(StopLines, OfAPatternWhoseBeginIsToBeFoundSayNothingThatMayBeWrong) {
  test::SimulatedRig rig;
  ReduceSettings settings;
  settings.pattern = StepPattern{};
  settings.pattern->start = rig.start_deg * degree_rad;
  settings.pattern->step = rig.step_deg * degree_rad;
  settings.pattern->stops = static_cast<std::size_t>(rig.stops);
  settings.pattern->dwell_s = 6.0;
  StopLines lines(settings);
  const std::vector<Dwell> dwells(3);
  EXPECT_EQ(lines.lines(dwells, 0), "");
  EXPECT_NE(lines.opening().find("--begin"), std::string::npos);
}

TEST(StopLines, OfARigThatIsParkedOrPausesReadTheUsualLength) {
  test::SimulatedRig rig;
  rig.stops = 15;
  rig.lead_s = 60.0;
  std::vector<LogSample> samples = rig.stop_and_go();
  for (int i = 0; i < 6000; ++i) {
    samples.push_back(samples[samples.size() - 200]);
    samples.back().time_s = samples[samples.size() - 2].time_s + 0.01;
    samples.back().line = samples.size() + 1;
  }
  ReduceSettings stated;
  stated.dwells.settle_s = 0.5;
  const Followed done = follow(samples, stated);
  expect_final_from_the_first(done);
  EXPECT_LT(done.whole.readings.front().dwell_s, 7.0) << "parked before the sweep";
  EXPECT_LT(done.whole.readings.back().dwell_s, 7.0) << "and after it";
}

TEST(StopLines, OfAShortSweepComeAtItsEnd) {
  test::SimulatedRig rig;
  rig.start_deg = -4.0;
  rig.stops = 5;
  const Followed done = follow(rig.stop_and_go(), {});
  expect_final_from_the_first(done);
  EXPECT_EQ(done.lines_after_stop.at(3), 0U);
}

TEST(ReducedText, ASmallStandardErrorIsNotShownAsZero) {
  EXPECT_EQ(aligned_error(0.0004, 8, 3), "  <0.001");
  EXPECT_EQ(aligned_error(0.0006, 8, 3), "   0.001");
  EXPECT_EQ(aligned_error(0.0, 8, 3), "   0.000");
  EXPECT_EQ(aligned_error(std::nan(""), 8, 3), "       -");
}

}  // namespace
}  // namespace sweepflux::tool
