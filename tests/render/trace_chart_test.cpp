#include "sweepflux/base/error.hpp"
#include "tests/render/canvas_search.hpp"
#include "tests/render/sample_pictures.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace sweepflux::render {
namespace {

TEST(TraceChart, ThinsALongLogWithoutLosingASpike) {
  TraceChartInput input;
  input.title = "log.csv";
  for (int i = 0; i < 200000; ++i) {
    input.time_s.push_back(0.01 * i);
    input.speed_m_s.push_back(1.0 + 0.1 * std::sin(0.3 * i));
  }
  input.speed_m_s[123457] = 4.0;
  input.speed_m_s[77777] = 0.0;
  const Canvas canvas = draw_trace_chart(input);
  const double zero = label_y(canvas, "0");
  const double one = label_y(canvas, "1");
  double highest = 0.0;
  double lowest = 9.0;
  std::size_t points = 0;
  for (const Path& path : all_of<Path>(canvas)) {
    if (path.lines[0].size() > 100) {
      points += path.lines[0].size();
      for (const Point p : path.lines[0]) {
        highest = std::max(highest, (zero - p.y) / (zero - one));
        lowest = std::min(lowest, (zero - p.y) / (zero - one));
      }
    }
  }
  EXPECT_NEAR(highest, 4.0, 1e-6);
  EXPECT_NEAR(lowest, 0.0, 1e-6);
  EXPECT_LT(points, 8000U);
}

TEST(TraceChart, LeavesAGapForAMissingValue) {
  TraceChartInput input;
  input.title = "log.csv";
  input.time_s = {0.0, 1.0, 2.0, 3.0, 4.0};
  input.speed_m_s = {1.0, 1.1, std::nan(""), 1.2, 1.3};
  bool two = false;
  for (const Path& path : all_of<Path>(draw_trace_chart(input))) {
    two = two || (path.lines.size() == 2 && path.lines[0].size() == 2 && path.lines[1].size() == 2);
  }
  EXPECT_TRUE(two);
}

TEST(TraceChart, RefusesTimeThatRunsBackwards) {
  TraceChartInput input;
  EXPECT_THROW((void)draw_trace_chart(input), InputError);
  input.time_s = {0.0, 2.0, 1.0};
  input.speed_m_s = {1.0, 1.0, 1.0};
  EXPECT_THROW((void)draw_trace_chart(input), InputError);
  input.speed_m_s.pop_back();
  EXPECT_THROW((void)draw_trace_chart(input), InputError);
}

}  // namespace
}  // namespace sweepflux::render
