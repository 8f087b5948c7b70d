#include "sweepflux/base/error.hpp"
#include "tests/render/canvas_search.hpp"
#include "tests/render/sample_pictures.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace sweepflux::render {
namespace {

StreamChartInput stream() {
  StreamChartInput input;
  input.title = "Herb loft";
  input.points = {{1.0, {0.4, 0.02, 0.36, 0.44}, {0.9, 0.03, 0.8, 1.0}},
                  {2.0, {0.8, 0.04, 0.7, 0.9}, {0.8, 0.05, 0.7, 0.9}}};
  input.thrust_n = Estimate{0.95, 0.01, 0.93, 0.97};
  return input;
}

TEST(StreamChart, PutsErrorBarsAtTheEndsOfTheIntervals) {
  const Canvas canvas = draw_stream_chart(stream());
  const std::vector<Path> bars = error_bars(canvas);
  ASSERT_GE(bars.size(), 4U);
  const double zero = label_y(canvas, "0.0", 1);
  const double one = label_y(canvas, "1.0", 1);
  const auto value = [&](double y) { return (zero - y) / (zero - one); };
  // Flow of both planes comes first, then momentum.
  EXPECT_NEAR(value(bars[2].lines[0][0].y), 0.8, 1e-3);
  EXPECT_NEAR(value(bars[2].lines[0][1].y), 1.0, 1e-3);
  const double x = label_x(canvas, "1.0");
  EXPECT_NEAR(bars[2].lines[0][0].x, x, 1e-9);
}

TEST(StreamChart, DrawsTheThrustAsABandOverTheMomentum) {
  const Canvas canvas = draw_stream_chart(stream());
  const double zero = label_y(canvas, "0.0", 1);
  const double one = label_y(canvas, "1.0", 1);
  bool found = false;
  for (const Path& path : all_of<Path>(canvas)) {
    if (path.closed && path.fill.tone == Tone::series && path.lines[0].size() == 4) {
      const double top = (zero - path.lines[0][0].y) / (zero - one);
      const double bottom = (zero - path.lines[0][2].y) / (zero - one);
      found = found || (std::fabs(top - 0.97) < 1e-3 && std::fabs(bottom - 0.93) < 1e-3);
    }
  }
  EXPECT_TRUE(found);
  EXPECT_TRUE(says(canvas, "thrust at the balance"));
  StreamChartInput without = stream();
  without.thrust_n.reset();
  EXPECT_FALSE(says(draw_stream_chart(without), "thrust"));
  EXPECT_THROW((void)draw_stream_chart(StreamChartInput{}), InputError);
}

TEST(Profiles, ShowTheSameSpeedsInBothCuts) {
  const Canvas canvas = draw_profiles(test::sample_profiles(1.0, "Herb loft"));
  EXPECT_TRUE(says(canvas, "across y [m]"));
  EXPECT_TRUE(says(canvas, "height z [m]"));
  EXPECT_TRUE(says(canvas, "0.75 m"));
  EXPECT_TRUE(says(canvas, "95 % interval"));
  EXPECT_TRUE(says(canvas, "readings near the cut"));
  EXPECT_TRUE(says(canvas, "under starting speed"));
  EXPECT_TRUE(says(canvas, "thin: no sweep supports this"));
}

TEST(Profiles, RiseToThePeakAtItsPlace) {
  ProfilesInput input;
  input.title = "Herb loft";
  input.across = {test::sample_profile("1.50 m", 2.0, 0.2, 0.3, -1.0, 1.0)};
  const Canvas canvas = draw_profiles(input);
  const double left = label_x(canvas, "−0.5");
  const double right = label_x(canvas, "0.5");
  Point top{0.0, 1e9};
  for (const Path& path : all_of<Path>(canvas)) {
    if (!path.closed && path.stroke.paint.tone == Tone::series && path.lines[0].size() > 20) {
      for (const Point p : path.lines[0]) {
        top = p.y < top.y ? p : top;
      }
    }
  }
  EXPECT_NEAR((top.x - left) / (right - left) - 0.5, 0.3, 0.01);
  EXPECT_NEAR(top.y, label_y(canvas, "2.0"), 0.1);  // places beside the peak, 3 px apart
}

TEST(Profiles, LeaveAGapWhereThereIsNoValue) {
  ProfilesInput input;
  input.title = "Herb loft";
  ProfileLine line = test::sample_profile("1.50 m", 2.0, 0.2, 0.0, -1.0, 1.0);
  line.support.clear();
  line.readings.clear();
  line.speed_m_s[40] = std::nan("");
  input.across = {line};
  std::vector<std::size_t> lengths;
  for (const Path& path : all_of<Path>(draw_profiles(input))) {
    if (!path.closed && path.stroke.paint.tone == Tone::series && path.lines[0].size() > 20) {
      lengths.push_back(path.lines[0].size());
    }
  }
  EXPECT_EQ(lengths, (std::vector<std::size_t>{40, 40}));
}

TEST(Profiles, RefuseListsThatDoNotFit) {
  ProfilesInput input;
  EXPECT_THROW((void)draw_profiles(input), InputError);
  input.across = {test::sample_profile("a", 2.0, 0.2, 0.0, -1.0, 1.0)};
  input.across[0].speed_m_s.pop_back();
  EXPECT_THROW((void)draw_profiles(input), InputError);
}

ScheduleChartInput schedule() {
  ScheduleChartInput input;
  input.title = "Herb loft";
  input.plan = {{10.0, 0.2, "1.50 m"}, {20.0, 0.1, {}}, {30.0, 0.09, {}}};
  return input;
}

TEST(ScheduleChart, RingsTheKneeAndSaysWhatItCosts) {
  ScheduleChartInput input = schedule();
  input.knee = 1;
  const Canvas canvas = draw_schedule_chart(input);
  EXPECT_TRUE(says(canvas, "further sweeps gain little after 2 sweeps, 20 min, 10"));
  const double x = label_x(canvas, "20");
  const double y = label_y(canvas, "10");
  bool ringed = false;
  for (const Circle& circle : all_of<Circle>(canvas)) {
    ringed =
        ringed || (std::fabs(circle.centre.x - x) < 1e-6 && std::fabs(circle.centre.y - y) < 1e-6 &&
                   circle.radius > 6.0 && !circle.fill.visible());
  }
  EXPECT_TRUE(ringed);
}

TEST(ScheduleChart, TurnsLogarithmicOnlyWhenTheValuesAskForIt) {
  EXPECT_TRUE(says(draw_schedule_chart(schedule()), "0\n"));
  ScheduleChartInput steep = schedule();
  steep.plan[2].relative_uncertainty = 0.004;
  const Canvas canvas = draw_schedule_chart(steep);
  EXPECT_GT(label_y(canvas, "1"), label_y(canvas, "10"));
  EXPECT_NEAR(label_y(canvas, "1") - label_y(canvas, "2"),
              label_y(canvas, "10") - label_y(canvas, "20"),
              1e-6);
}

TEST(ScheduleChart, NamesTargetAndTimeAtHand) {
  ScheduleChartInput input = schedule();
  input.target = 0.05;
  input.budget_minutes = 180.0;
  input.evenly_spaced = input.plan;
  const Canvas canvas = draw_schedule_chart(input);
  EXPECT_TRUE(says(canvas, "target 5.0"));
  EXPECT_TRUE(says(canvas, "time at hand, 180 min"));
  EXPECT_TRUE(says(canvas, "evenly spaced heights"));
  EXPECT_FALSE(says(draw_schedule_chart(schedule()), "target"));
}

TEST(ScheduleChart, RefusesWhatItCannotDraw) {
  EXPECT_THROW((void)draw_schedule_chart({}), InputError);
  ScheduleChartInput input = schedule();
  input.knee = 3;
  EXPECT_THROW((void)draw_schedule_chart(input), InputError);
  input = schedule();
  input.plan[1].relative_uncertainty = 0.0;
  EXPECT_THROW((void)draw_schedule_chart(input), InputError);
}

ThrustChartInput settings(const std::vector<std::string>& names) {
  ThrustChartInput input;
  input.title = "Loft fans";
  for (const std::string fan : {"heron", "teal"}) {
    SettingLine line{fan, {}};
    for (const std::string& name : names) {
      line.points.push_back({name, {0.5, 0.02, 0.45, 0.55}});
    }
    input.fans.push_back(line);
  }
  return input;
}

TEST(ThrustChart, PutsNumbersAtTheirNumbersAndWordsSideBySide) {
  const Canvas numbers = draw_thrust_chart(settings({"1", "2", "6"}));
  EXPECT_NEAR((label_x(numbers, "6") - label_x(numbers, "2")) /
                  (label_x(numbers, "2") - label_x(numbers, "1")),
              4.0,
              1e-6);
  const Canvas words = draw_thrust_chart(settings({"low", "6", "high"}));
  EXPECT_NEAR((label_x(words, "high") - label_x(words, "6")) /
                  (label_x(words, "6") - label_x(words, "low")),
              1.0,
              1e-6);
}

TEST(ThrustChart, NamesEachOfTwelveSettingsOnAPhone) {
  std::vector<std::string> names;
  for (int i = 1; i <= 12; ++i) {
    names.push_back(std::to_string(i));
  }
  ThrustChartInput input = settings(names);
  input.fans[0].fan = "a fan with a long name";
  input.width = phone_width;
  std::vector<std::string> found;
  for (const Text& text : all_of<Text>(draw_thrust_chart(input))) {
    if (text.turn_deg == 90.0) {
      found.push_back(text.words);
    }
  }
  EXPECT_EQ(found, names);
}

TEST(ThrustChart, KeepsErrorBarsOfEqualFansApart) {
  const std::vector<Path> bars = error_bars(draw_thrust_chart(settings({"1", "2"})));
  ASSERT_EQ(bars.size(), 5U);  // the last is the legend's
  for (std::size_t i = 0; i < 4; ++i) {
    for (std::size_t k = i + 1; k < 4; ++k) {
      EXPECT_GT(std::fabs(bars[i].lines[0][0].x - bars[k].lines[0][0].x), 5.0);
    }
  }
  EXPECT_THROW((void)draw_thrust_chart({}), InputError);
}

TEST(Plot, SetsOverlappingErrorBarsApartAndLeavesTheOthersInPlace) {
  StreamChartInput input;
  input.points = {{1.0, {0.4, 0.02, 0.36, 0.44}, {0.9, 0.03, 0.8, 1.0}},
                  {1.0, {0.41, 0.02, 0.37, 0.45}, {0.5, 0.03, 0.4, 0.55}},
                  {2.0, {0.8, 0.04, 0.7, 0.9}, {0.8, 0.05, 0.7, 0.9}}};
  const Canvas canvas = draw_stream_chart(input);
  const std::vector<Path> bars = error_bars(canvas);
  ASSERT_GE(bars.size(), 6U);
  EXPECT_GT(std::fabs(bars[0].lines[0][0].x - bars[1].lines[0][0].x), 8.0);
  EXPECT_NEAR(bars[2].lines[0][0].x, label_x(canvas, "2.0"), 1e-9);
  // The same places, but these do not touch.
  EXPECT_NEAR(bars[3].lines[0][0].x, bars[4].lines[0][0].x, 1e-9);
}

TEST(Plot, DrawsNothingForWhatWasNotComputed) {
  StreamChartInput input = stream();
  const double none = std::nan("");
  input.points[1].volume_flow_m3_s = {none, none, none, none};
  const Canvas canvas = draw_stream_chart(input);
  EXPECT_EQ(error_bars(canvas).size(), 4U);  // one flow, two momentum fluxes, the legend
  EXPECT_EQ(canvas.description.find("not known"), std::string::npos);
}

TEST(Profiles, AreSmoothBetweenFewPlaces) {
  ProfilesInput input;
  ProfileLine line = test::sample_profile("1.50 m", 2.0, 0.2, 0.0, -1.0, 1.0);
  line.support.clear();
  line.readings.clear();
  input.across = {line};
  std::vector<Point> drawn;
  const Canvas canvas = draw_profiles(input);
  for (const Path& path : all_of<Path>(canvas)) {
    if (!path.closed && path.stroke.paint.tone == Tone::series && path.lines[0].size() > 20) {
      drawn = path.lines[0];
    }
  }
  ASSERT_GE(drawn.size(), 200U);
  const double left = label_x(canvas, "−0.5");
  const double right = label_x(canvas, "0.5");
  const double zero = label_y(canvas, "0.0");
  const double one = label_y(canvas, "1.0");
  for (const Point p : drawn) {
    const double at = (p.x - left) / (right - left) - 0.5;
    EXPECT_NEAR((zero - p.y) / (zero - one), 2.0 * std::exp2(-std::pow(at / 0.2, 2)), 0.01) << at;
  }
}

TEST(Ranking, BracketsOnlyWhatDoesNotDiffer) {
  RankingInput input;
  input.value_title = "momentum flux [N]";
  input.unit = "N";
  input.bars = {{"heron", {0.95, 0.02, 0.91, 0.99}, 1},
                {"teal", {0.93, 0.03, 0.87, 0.99}, 1},
                {"wren", {0.71, 0.02, 0.67, 0.75}, 3}};
  const Canvas equal = draw_ranking(input);
  EXPECT_TRUE(says(equal, "1=\n"));
  EXPECT_TRUE(says(equal, "3\n"));
  EXPECT_TRUE(says(equal, "no difference at 95 %"));
  input.bars[1].place = 2;
  const Canvas clear = draw_ranking(input);
  EXPECT_FALSE(says(clear, "="));
  EXPECT_FALSE(says(clear, "no difference at 95 %"));
  EXPECT_THROW((void)draw_ranking({}), InputError);
}

TEST(Ranking, KeepsLongNamesWholeAndMarksThemAsPredicted) {
  RankingInput input;
  input.unit = "N";
  const std::string name = "little ringed plover between medium low and medium high";
  input.bars = {{name, {0.95, 0.02, 0.91, 0.99}, 1, 0, true}};
  EXPECT_TRUE(says(draw_ranking(input), name + " *\n"));
  input.width = phone_width;
  EXPECT_TRUE(says(draw_ranking(input), "\u2026 *\n"));
}

TEST(Ranking, DrawsBarsAsLongAsTheirValues) {
  RankingInput input;
  input.bars = {{"heron", {0.8, 0.0, 0.8, 0.8}, 1}, {"teal", {0.4, 0.0, 0.4, 0.4}, 2}};
  std::vector<double> lengths;
  for (const Path& path : all_of<Path>(draw_ranking(input))) {
    if (path.closed && path.fill.tone == Tone::series) {
      lengths.push_back(path.lines[0][1].x - path.lines[0][0].x);
    }
  }
  ASSERT_EQ(lengths.size(), 2U);
  EXPECT_NEAR(lengths[0] / lengths[1], 2.0, 1e-9);
}

TEST(BudgetBars, DrawEverySourceForFlowAndMomentum) {
  BudgetBarsInput input;
  input.sources = {{"probe scale", 0.02, 0.04}, {"air density", 0.0, 0.002}, {"head", 1e-5, 0.002}};
  input.all = {"all together", 0.02, 0.04};
  const Canvas canvas = draw_budget_bars(input);
  EXPECT_TRUE(says(canvas, "probe scale"));
  EXPECT_TRUE(says(canvas, "2.0\u00A0%"));
  EXPECT_TRUE(says(canvas, "0.2\u00A0%"));
  EXPECT_TRUE(says(canvas, "-"));
  EXPECT_TRUE(says(canvas, "< 0.1\u00A0%"));
  EXPECT_FALSE(says(canvas, "0.0\u00A0%"));
  input.sources[0].flow_share = std::nan("");
  EXPECT_THROW((void)draw_budget_bars(input), InputError);
  EXPECT_THROW((void)draw_budget_bars({}), InputError);
}

TEST(StreamView, GoesOverFromPlaneToPlaneAtTheSameShareOfTheHalfWidth) {
  // A stream that keeps its shape while it widens and bends is interpolated exactly.
  const auto centre = [](double x) { return 1.0 - 0.1 * x; };
  const auto half = [](double x) { return 0.1 * x; };
  std::vector<StreamStation> stations;
  for (const double x : {3.0, 1.0}) {
    StreamStation s;
    s.x_m = x;
    s.centre_m = centre(x);
    s.half_width_m = half(x);
    for (int i = 0; i <= 400; ++i) {
      s.at_m.push_back(i * 0.005);
      s.speed_m_s.push_back(3.0 * std::exp2(-std::pow((s.at_m.back() - centre(x)) / half(x), 2)));
    }
    stations.push_back(s);
  }
  const GridField field = blend_stations(stations, 21, 41);
  EXPECT_EQ(field.across(0.0), 1.0);
  EXPECT_NEAR(field.across(20.0), 3.0, 1e-12);
  for (std::size_t row = 0; row < field.rows; ++row) {
    for (std::size_t column = 0; column < field.columns; ++column) {
      const double x = field.across(static_cast<double>(column));
      const double z = field.up(static_cast<double>(row));
      EXPECT_NEAR(
          field.value(column, row), 3.0 * std::exp2(-std::pow((z - centre(x)) / half(x), 2)), 2e-3)
          << x << ", " << z;
    }
  }
}

TEST(StreamView, ShowsOutletCentreAndHalfWidths) {
  const Canvas side = draw_stream_view(test::sample_view(false, 1.0, "Herb loft"));
  EXPECT_TRUE(says(side, "downstream x [m]"));
  EXPECT_TRUE(says(side, "height z [m]"));
  EXPECT_TRUE(says(side, "half the peak speed"));
  const Canvas above = draw_stream_view(test::sample_view(true, 1.0, "Herb loft"));
  EXPECT_TRUE(says(above, "across y [m]"));
  StreamViewInput one = test::sample_view(false, 1.0, "Herb loft");
  one.stations.resize(1);
  EXPECT_THROW((void)draw_stream_view(one), InputError);
  StreamViewInput twice = test::sample_view(false, 1.0, "Herb loft");
  twice.stations[1].x_m = twice.stations[0].x_m;
  EXPECT_THROW((void)draw_stream_view(twice), InputError);
}

}  // namespace
}  // namespace sweepflux::render
