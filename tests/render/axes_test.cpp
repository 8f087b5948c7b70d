#include "render/canvas/axes.hpp"

#include "sweepflux/base/error.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace sweepflux::render {
namespace {

TEST(Axes, StepIsOneTwoOrFiveTimesAPowerOfTen) {
  EXPECT_NEAR(nice_step(1.0, 5), 0.2, 1e-12);
  EXPECT_NEAR(nice_step(3.9, 9), 0.5, 1e-12);
  EXPECT_NEAR(nice_step(0.021, 9), 0.005, 1e-12);
  EXPECT_NEAR(nice_step(7300.0, 4), 2000.0, 1e-9);
}

TEST(Axes, KeepExactEndsAndRoundOthers) {
  const Axis exact = exact_axis({-0.83, 0.71}, 8, "y");
  EXPECT_EQ(exact.range.low, -0.83);
  EXPECT_EQ(exact.range.high, 0.71);
  EXPECT_GE(exact.ticks.front(), -0.83);
  EXPECT_LE(exact.ticks.back(), 0.71);
  const Axis rounded = rounded_axis({0.0, 3.9}, 9, "speed");
  EXPECT_NEAR(rounded.range.high, 4.0, 1e-12);
  EXPECT_EQ(rounded.labels.front(), "0.0");
  EXPECT_EQ(rounded.labels.back(), "4.0");
}

TEST(Axes, AlwaysHaveTwoLabelsToReadAScaleFrom) {
  for (const Range range :
       {Range{0.7, 1.1}, Range{-0.15, 0.15}, Range{0.999, 1.001}, Range{0.0, 3e-7}}) {
    const Axis axis = exact_axis(range, 1, "z");
    EXPECT_GE(axis.ticks.size(), 2U) << range.low;
    EXPECT_NE(axis.labels[0], axis.labels[1]);
  }
}

TEST(Axes, LabelTinyAndHugeValuesLegibly) {
  EXPECT_EQ(rounded_axis({0.0, 0.021}, 5, "speed").labels[1], "0.005");
  EXPECT_EQ(rounded_axis({0.0, 4e-6}, 4, "speed").labels[1], "1×10⁻⁶");
  EXPECT_EQ(rounded_axis({0.0, 4e6}, 4, "speed").labels[1], "1×10⁶");
}

TEST(Axes, GiveARangeWithoutWidthSomeRoom) {
  const Axis one = rounded_axis({2.0, 2.0}, 5, "speed");
  EXPECT_LT(one.range.low, 2.0);
  EXPECT_GT(one.range.high, 2.0);
  const Axis zero = exact_axis({0.0, 0.0}, 5, "speed");
  EXPECT_GT(zero.range.width(), 0.0);
}

TEST(Axes, FromZeroStretchOnlyALittleForNegativeValues) {
  EXPECT_EQ(axis_from_zero({0.2, 3.9}, 6, "speed").range.low, 0.0);
  const Axis stretched = axis_from_zero({-0.04, 3.9}, 6, "speed");
  EXPECT_LT(stretched.range.low, -0.04);
  EXPECT_GT(stretched.range.low, -0.2);
  EXPECT_EQ(stretched.labels.front(), "0");
  EXPECT_GT(axis_from_zero({0.0, 0.0}, 6, "speed").range.width(), 0.0);
}

TEST(Axes, MayBeLogarithmic) {
  const Axis axis = logarithmic_axis({2.7, 61.0}, "%");
  EXPECT_NEAR(axis.range.low, 2.0, 1e-12);
  EXPECT_NEAR(axis.range.high, 100.0, 1e-9);
  EXPECT_EQ(axis.labels, (std::vector<std::string>{"2", "5", "10", "20", "50", "100"}));
  EXPECT_NEAR(axis.share(std::sqrt(200.0)), 0.5, 1e-12);
  EXPECT_THROW((void)logarithmic_axis({0.0, 1.0}, "%"), InputError);
}

TEST(Axes, RangeIgnoresWhatIsNotFinite) {
  const std::vector<double> values{
      1.0, std::nan(""), -2.0, std::numeric_limits<double>::infinity()};
  EXPECT_EQ(range_of(values).low, -2.0);
  EXPECT_EQ(range_of(values).high, 1.0);
  const std::vector<double> none{std::nan("")};
  EXPECT_EQ(range_of(none).width(), 0.0);
}

TEST(Axes, PanelPutsValuesWhereTheyBelong) {
  const Panel panel{
      {10.0, 20.0, 110.0, 220.0}, exact_axis({-1.0, 1.0}, 4, "y"), exact_axis({0.0, 4.0}, 4, "z")};
  EXPECT_NEAR(panel.px(0.0), 60.0, 1e-12);
  EXPECT_NEAR(panel.py(4.0), 20.0, 1e-12);
  EXPECT_NEAR(panel.py(1.0), 170.0, 1e-12);
}

TEST(Axes, LeaveOutLabelsThatWouldTouch) {
  Panel panel{
      {50.0, 10.0, 130.0, 200.0}, exact_axis({0.0, 10.0}, 10, {}), exact_axis({0.0, 1.0}, 4, {})};
  Canvas canvas;
  draw_axes(canvas, panel);
  std::vector<Box> boxes;
  for (const Item& item : canvas.items) {
    if (const auto* text = std::get_if<Text>(&item)) {
      for (const Box& box : boxes) {
        EXPECT_FALSE(box.overlaps(text_box(*text))) << text->words;
      }
      boxes.push_back(text_box(*text));
    }
  }
  EXPECT_GT(boxes.size(), 4U);
}

}  // namespace
}  // namespace sweepflux::render
