#include "render/charts/fan_charts.hpp"
#include "sweepflux/base/error.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>

namespace sweepflux::render {
namespace {

DistanceLine line(const char* fan, const char* setting, bool measured) {
  return {fan,
          setting,
          {1.0, 2.0, 3.0},
          {{0.3, 0.02, 0.26, 0.34}, {0.5, 0.03, 0.44, 0.56}, {0.7, 0.03, 0.64, 0.76}},
          measured};
}

std::vector<std::string> hovers(const Canvas& canvas) {
  std::vector<std::string> found;
  for (const Item& item : canvas.items) {
    if (const auto* path = std::get_if<Path>(&item); path && !path->hover.empty()) {
      found.push_back(path->hover);
    } else if (const auto* circle = std::get_if<Circle>(&item); circle && !circle->hover.empty()) {
      found.push_back(circle->hover);
    }
  }
  return found;
}

bool says(const std::vector<std::string>& texts, const std::string& part) {
  return std::any_of(texts.begin(), texts.end(), [&](const std::string& t) {
    return t.find(part) != std::string::npos;
  });
}

TEST(distance_chart, every_measured_point_shows_its_value_to_a_resting_pointer) {
  DistanceChartInput input;
  input.title = "Flow";
  input.value_title = "flow [m3/s]";
  input.unit = "m3/s";
  input.lines = {line("heron", "3", true)};
  const auto shown = hovers(draw_distance_chart(input));
  for (const char* distance : {"1", "2", "3"}) {
    EXPECT_TRUE(says(shown, std::string("heron at 3, ") + distance)) << distance;
  }
}

TEST(distance_chart, the_description_holds_the_numbers_of_every_line) {
  DistanceChartInput input;
  input.value_title = "speed [m/s]";
  input.unit = "m/s";
  input.lines = {line("heron", "3", false), line("teal", "6", false)};
  const Canvas canvas = draw_distance_chart(input);
  EXPECT_NE(canvas.description.find("heron at 3"), std::string::npos);
  EXPECT_NE(canvas.description.find("teal at 6"), std::string::npos);
  EXPECT_NE(canvas.description.find("0.7"), std::string::npos);
}

TEST(distance_chart, the_legend_explains_bands_only_where_they_are_drawn) {
  DistanceChartInput input;
  input.value_title = "speed [m/s]";
  input.unit = "m/s";
  const auto legend_has_interval = [&input] {
    const Canvas canvas = draw_distance_chart(input);
    return std::any_of(canvas.items.begin(), canvas.items.end(), [](const Item& item) {
      const auto* text = std::get_if<Text>(&item);
      return text && text->words == "95 % interval";
    });
  };
  for (const char* setting : {"1", "2", "3", "4"}) {
    input.lines.push_back(line("heron", setting, false));
  }
  EXPECT_TRUE(legend_has_interval());
  input.lines.push_back(line("heron", "5", false));
  EXPECT_FALSE(legend_has_interval());
}

TEST(distance_chart, areas_for_a_pointer_are_never_seen) {
  DistanceChartInput input;
  input.value_title = "speed [m/s]";
  input.lines = {line("heron", "3", false)};
  bool any = false;
  for (const Item& item : draw_distance_chart(input).items) {
    if (const auto* circle = std::get_if<Circle>(&item); circle && !circle->hover.empty()) {
      any = true;
      EXPECT_FALSE(circle->fill.visible());
      EXPECT_FALSE(circle->stroke.paint.visible());
    }
  }
  EXPECT_TRUE(any);
}

TEST(distance_chart, a_mark_stays_at_its_own_place_however_near_its_neighbours_are) {
  DistanceChartInput input;
  input.value_title = "thrust [N]";
  input.unit = "N";
  const Estimate thrust{0.5, 0.01, 0.48, 0.52};
  input.lines = {{"heron", "", {5.0, 6.0, 7.0, 60.0}, {thrust, thrust, thrust, thrust}}};
  const auto places = [&input] {
    std::vector<double> x;
    for (const Item& item : draw_distance_chart(input).items) {
      const auto* circle = std::get_if<Circle>(&item);
      if (circle && circle->hover.starts_with("heron")) {
        x.push_back(circle->centre.x);
      }
    }
    return x;
  };
  const std::vector<double> alone = places();
  ASSERT_EQ(alone.size(), 4u);
  const double step = (alone[3] - alone[0]) / 55.0;
  EXPECT_NEAR(alone[1] - alone[0], step, 1e-6);
  // Between two of them: its bars cover theirs, its place is its own.
  input.lines.push_back({"teal", "", {5.5, 6.5, 60.0}, {thrust, thrust, thrust}});
  const std::vector<double> beside = places();
  ASSERT_EQ(beside.size(), 4u);
  EXPECT_NEAR(beside[0], alone[0], 1e-9);
  EXPECT_NEAR(beside[1], alone[1], 1e-9);
  EXPECT_GT(std::abs(beside[3] - alone[3]), 2.0) << "at one place they stand side by side";
}

TEST(distance_chart, a_fan_keeps_the_hue_that_it_has_in_other_charts) {
  DistanceChartInput input;
  input.value_title = "flow [m3/s]";
  input.lines = {line("teal", "3", true)};
  input.styles = {{"heron", 0}, {"teal", 6}};
  std::size_t found = 0;
  for (const Item& item : draw_distance_chart(input).items) {
    const auto* path = std::get_if<Path>(&item);
    found += path && path->stroke.paint.tone == Tone::series && path->stroke.paint.series == 6;
  }
  EXPECT_GT(found, 0u);
}

TEST(distance_chart, nothing_to_draw_is_refused) {
  EXPECT_THROW((void)draw_distance_chart({}), InputError);
  DistanceChartInput input;
  input.lines = {line("heron", "3", true)};
  input.lines[0].value.pop_back();
  EXPECT_THROW((void)draw_distance_chart(input), InputError);
}

}  // namespace
}  // namespace sweepflux::render
