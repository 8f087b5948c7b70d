// What `follow` says where there is no terminal to draw on.
#include "sweepflux/derive/log/finish_sweep.hpp"
#include "sweepflux/derive/log/follow_log.hpp"
#include "tests/support/shared_folder.hpp"
#include "tests/support/simulated_log.hpp"
#include "tool/follow_screen.hpp"
#include "tool/reduced_text.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <string>
#include <vector>

namespace sweepflux::tool {
namespace {

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
  StopLines lines(Motion::swivel);
  std::optional<LogFollower> follower;
  const auto look = [&] {
    const std::span<const Dwell> final_dwells = follower->final_dwells();
    for (std::size_t i = done.while_it_ran.size(); i < final_dwells.size(); ++i) {
      done.while_it_ran.push_back(reading_of(final_dwells[i]));
    }
    done.lines += lines.lines(final_dwells);
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
             aligned(now.speed_m_s, 9, 3) + " m/s +-" + aligned(now.standard_error_m_s, 6, 3) + "\n";
  }
  EXPECT_EQ(done.lines, lines) << "one line a stop, as reduce says";
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

}  // namespace
}  // namespace sweepflux::tool
