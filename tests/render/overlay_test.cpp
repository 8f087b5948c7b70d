#include "render/charts/fan_charts.hpp"
#include "tests/render/canvas_search.hpp"
#include "tests/render/sample_pictures.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <cstddef>
#include <string>
#include <vector>

namespace sweepflux::render {
namespace {

TEST(Overlay, KeepsALineForAFanAndAWeightForASetting) {
  OverlayInput input;
  input.title = "Loft fans";
  for (const std::string fan : {"heron", "teal"}) {
    for (const std::string setting : {"low", "high"}) {
      ProfileLine line = test::sample_profile({}, 2.0, 0.2, 0.0, -1.0, 1.0);
      line.support.clear();
      line.readings.clear();
      line.low_m_s.clear();
      line.high_m_s.clear();
      input.curves.push_back({fan, setting, line, {}});
    }
  }
  std::vector<Path> lines;
  const Canvas canvas = draw_overlay(input);
  for (const Path& path : all_of<Path>(canvas)) {
    if (path.stroke.paint.tone == Tone::series && path.lines[0].size() > 20) {
      lines.push_back(path);
    }
  }
  ASSERT_EQ(lines.size(), 4U);
  EXPECT_EQ(lines[0].stroke.paint.series, lines[1].stroke.paint.series);
  EXPECT_NE(lines[0].stroke.paint.series, lines[2].stroke.paint.series);
  EXPECT_EQ(lines[0].stroke.dashes, lines[1].stroke.dashes);
  EXPECT_NE(lines[0].stroke.dashes, lines[2].stroke.dashes);
  EXPECT_LT(lines[0].stroke.width, lines[1].stroke.width);
  EXPECT_EQ(lines[0].stroke.width, lines[2].stroke.width);
  EXPECT_TRUE(says(canvas, "teal at high"));
}

OverlayInput many_fans(int count) {
  OverlayInput input;
  for (int i = 0; i < count; ++i) {
    ProfileLine line = test::sample_profile({}, 2.0, 0.2, 0.0, -1.0, 1.0);
    line.support.clear();
    line.readings.clear();
    for (std::size_t k = 0; k < line.at_m.size(); ++k) {
      line.low_m_s[k] = line.speed_m_s[k] - 0.01 * (i + 1);
      line.high_m_s[k] = line.speed_m_s[k] + 0.01 * (i + 1);
    }
    input.curves.push_back({"fan " + std::to_string(i), "1", line, {}});
  }
  return input;
}

TEST(Overlay, ShowsTheIntervalOfEachPeakWhereBandsWouldHideEachOther) {
  const Canvas few = draw_overlay(many_fans(6));
  EXPECT_TRUE(error_bars(few).empty());
  const Canvas many = draw_overlay(many_fans(8));
  EXPECT_TRUE(says(many, "95 % interval of the peak"));
  const std::vector<Path> bars = error_bars(many);
  ASSERT_EQ(bars.size(), 9U);  // the last is the legend's
  const double unit = label_y(many, "0.0") - label_y(many, "1.0");
  for (std::size_t i = 0; i < 8; ++i) {
    const std::vector<Point>& bar = bars[i].lines[0];
    EXPECT_NEAR(std::fabs(bar[0].y - bar[1].y), 0.02 * static_cast<double>(i + 1) * unit, 1e-6);
    EXPECT_EQ(bars[i].stroke.paint.series, static_cast<int>(i));
    for (std::size_t k = 0; k < i; ++k) {
      EXPECT_GT(std::fabs(bar[0].x - bars[k].lines[0][0].x), 6.0);
    }
  }
}

TEST(Overlay, DrawsEachFanAlikeWhereEachHasOneLine) {
  OverlayInput input = many_fans(2);
  input.curves[1].setting = "12";
  std::vector<double> widths;
  for (const Path& path : all_of<Path>(draw_overlay(input))) {
    if (!path.closed && path.stroke.paint.tone == Tone::series && path.lines[0].size() > 20) {
      widths.push_back(path.stroke.width);
    }
  }
  ASSERT_EQ(widths.size(), 2U);
  EXPECT_EQ(widths[0], widths[1]);
}

}  // namespace
}  // namespace sweepflux::render
