#include "render/charts/plane_map.hpp"

#include "render/canvas/write_png.hpp"
#include "sweepflux/base/error.hpp"
#include "tests/render/canvas_search.hpp"
#include "tests/render/decode_png.hpp"
#include "tests/render/sample_pictures.hpp"
#include "tests/render/seen_colours.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace sweepflux::render {
namespace {

constexpr double dots_per_inch = 192.0;
constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr double zoom = dots_per_inch / 96.0;

/// The coloured part of a map, which spans the field's cells.
const Picture& heat_of(const Canvas& canvas) {
  for (const Item& item : canvas.items) {
    if (const auto* picture = std::get_if<Picture>(&item)) {
      return *picture;
    }
  }
  throw std::runtime_error("the canvas holds no picture");
}

Point place(const Canvas& canvas, const GridField& field, PlanePoint p) {
  const Box& box = heat_of(canvas).box;
  const Range across = field.across_range();
  const Range up = field.up_range();
  return {box.left + (p.y_m - across.low) / across.width() * box.width(),
          box.bottom - (p.z_m - up.low) / up.width() * box.height()};
}

Colour pixel(const Image& image, Point at) {
  return image.colour(static_cast<std::size_t>(at.x * zoom), static_cast<std::size_t>(at.y * zoom));
}

/// A bare field: nothing but colours.
PlaneMapInput bare(std::size_t columns, std::size_t rows, double step) {
  PlaneMapInput input;
  input.title = "Herb loft";
  input.field.columns = columns;
  input.field.rows = rows;
  input.field.across_min = -0.3;
  input.field.up_min = 0.5;
  input.field.across_step = step;
  input.field.up_step = step;
  input.field.values.assign(columns * rows, 1.0);
  return input;
}

TEST(PlaneMap, HasItsStrongestPixelWhereTheFieldHasItsPeak) {
  // An asymmetric field with a marked corner: lower right, and nowhere else.
  PlaneMapInput input = bare(9, 5, 0.1);
  input.field.values[1 * 9 + 7] = 5.0;
  input.scale = HeatScale{Palette::speed, {0.0, 5.0}, {}};  // no contours
  const Canvas canvas = draw_plane_map(input);
  const Image image = decode_png(write_png(canvas, dots_per_inch));
  const Box& box = heat_of(canvas).box;
  double darkest = 1e9;
  Point where;
  for (double y = box.top + 3.0; y < box.bottom - 3.0; y += 0.5) {
    for (double x = box.left + 3.0; x < box.right - 3.0; x += 0.5) {
      const Colour c = pixel(image, {x, y});
      const double lightness = perceive(c).lightness;
      if (lightness < darkest) {
        darkest = lightness;
        where = {x, y};
      }
    }
  }
  const Point peak = place(canvas, input.field, {-0.3 + 0.7, 0.5 + 0.1});
  EXPECT_NEAR(where.x, peak.x, 4.0);
  EXPECT_NEAR(where.y, peak.y, 4.0);
}

TEST(PlaneMap, ColoursEveryCellsCentreWithItsValue) {
  PlaneMapInput input = bare(5, 4, 0.1);
  for (std::size_t i = 0; i < input.field.values.size(); ++i) {
    input.field.values[i] = 0.3 + 0.15 * static_cast<double>((i * 7) % 20);
  }
  const HeatScale scale = make_scale(Palette::speed, {0.0, 4.0});
  input.scale = scale;
  const Canvas canvas = draw_plane_map(input);
  const Picture& heat = heat_of(canvas);
  for (std::size_t row = 0; row < 4; ++row) {
    for (std::size_t column = 0; column < 5; ++column) {
      const auto x = static_cast<std::size_t>((static_cast<double>(column) + 0.5) / 5.0 *
                                              static_cast<double>(heat.image.width));
      const auto y = static_cast<std::size_t>((3.5 - static_cast<double>(row)) / 4.0 *
                                              static_cast<double>(heat.image.height));
      EXPECT_LT(
          colour_distance(heat.image.colour(x, y), scale.colour(input.field.value(column, row))),
          0.02)
          << row << ", " << column;
    }
  }
}

TEST(PlaneMap, UsesEqualMetresBothWays) {
  for (const auto& [columns, rows] :
       {std::pair<std::size_t, std::size_t>{90, 5}, {5, 90}, {30, 30}}) {
    const PlaneMapInput input = bare(columns, rows, 0.05);
    const Canvas canvas = draw_plane_map(input);
    const Box& box = heat_of(canvas).box;
    EXPECT_NEAR(
        box.width() / static_cast<double>(columns), box.height() / static_cast<double>(rows), 1e-9);
    EXPECT_LE(box.right, canvas.width);
    EXPECT_LE(canvas.height, 900.0);
  }
}

TEST(PlaneMap, DrawsReadingsWhereTheyWereTaken) {
  PlaneMapInput input = bare(40, 30, 0.02);
  input.readings = {{{-0.2, 0.6}, 1.0, false}, {{0.4, 1.0}, 0.2, true}};
  const Canvas canvas = draw_plane_map(input);
  std::vector<Circle> dots;
  for (const Item& item : canvas.items) {
    if (const auto* circle = std::get_if<Circle>(&item);
        circle != nullptr && !circle->hover.empty()) {
      dots.push_back(*circle);
    }
  }
  ASSERT_EQ(dots.size(), 2U);
  for (std::size_t i = 0; i < 2; ++i) {
    const Point wanted = place(canvas, input.field, input.readings[i].at);
    EXPECT_NEAR(dots[i].centre.x, wanted.x, 1e-9);
    EXPECT_NEAR(dots[i].centre.y, wanted.y, 1e-9);
  }
  EXPECT_GT(dots[1].centre.x, dots[0].centre.x);  // y runs to the right
  EXPECT_LT(dots[1].centre.y, dots[0].centre.y);  // z runs up
  EXPECT_TRUE(dots[0].fill.visible());
  EXPECT_TRUE(dots[1].stroke.paint.visible());
  EXPECT_TRUE(says(canvas, "under starting speed"));
}

TEST(PlaneMap, TellsNotMeasuredZeroAndOverRangeApart) {
  PlaneMapInput input = bare(30, 30, 0.02);
  for (std::size_t row = 0; row < 30; ++row) {
    for (std::size_t column = 0; column < 30; ++column) {
      double& value = input.field.values[row * 30 + column];
      value = column < 8 ? std::nan("") : column < 15 ? 0.0 : column < 22 ? 2.0 : infinity;
    }
  }
  const Canvas canvas = draw_plane_map(input);
  const Picture& heat = heat_of(canvas);
  const auto at = [&](double column) {
    return static_cast<std::size_t>((column + 0.5) / 30.0 * static_cast<double>(heat.image.width));
  };
  const std::size_t middle = heat.image.height / 2;
  EXPECT_EQ(heat.image.opacity(at(3), middle), 0);  // bare paper under the hatching
  EXPECT_EQ(heat.image.opacity(at(11), middle), 255);
  EXPECT_EQ(heat.image.colour(at(11), middle), speed_colours().at(0.0));
  EXPECT_GT(colour_distance(heat.image.colour(at(11), middle), {255, 255, 255}), 0.03);
  EXPECT_EQ(heat.image.colour(at(26), middle), speed_colours().beyond());
  EXPECT_TRUE(says(canvas, "no sweep supports this"));
  EXPECT_TRUE(says(canvas, "above the scale"));
}

TEST(PlaneMap, TakesItsLimitsFromSupportedCellsOnly) {
  PlaneMapInput input = bare(10, 10, 0.05);
  input.field.support.assign(100, 1.0);
  input.field.values[0] = 900.0;
  input.field.support[0] = 0.1;
  input.field.values[1] = infinity;
  input.field.values[2] = std::nan("");
  input.field.values[50] = 2.6;
  const std::optional<Range> range = supported_range(input.field);
  ASSERT_TRUE(range.has_value());
  EXPECT_EQ(range->low, 1.0);
  EXPECT_EQ(range->high, 2.6);
  EXPECT_FALSE(says(draw_plane_map(input), "900"));
}

TEST(PlaneMap, FadesAndHatchesWhatNoSweepSupports) {
  PlaneMapInput input = bare(20, 20, 0.05);
  input.field.support.assign(400, 1.0);
  for (std::size_t row = 0; row < 20; ++row) {
    for (std::size_t column = 0; column < 6; ++column) {
      input.field.support[row * 20 + column] = 0.0;
    }
  }
  const Canvas canvas = draw_plane_map(input);
  const Image& heat = heat_of(canvas).image;
  EXPECT_LT(heat.opacity(heat.width / 10, heat.height / 2), 100);
  EXPECT_EQ(heat.opacity(heat.width * 6 / 10, heat.height / 2), 255);
  const auto* hatching = std::get_if<Path>(&canvas.items[3]);
  for (const Item& item : canvas.items) {
    const auto* path = std::get_if<Path>(&item);
    if (path != nullptr && path->lines.size() > 20) {
      hatching = path;
    }
  }
  ASSERT_NE(hatching, nullptr);
  const double limit = place(canvas, input.field, {-0.3 + 0.05 * 6.0, 0.5}).x;
  for (const std::vector<Point>& line : hatching->lines) {
    for (const Point p : line) {
      EXPECT_LT(p.x, limit);
    }
  }
}

TEST(PlaneMap, OfOneValueHasOneLabelledColour) {
  const Canvas canvas = draw_plane_map(bare(10, 10, 0.05));
  EXPECT_TRUE(says(canvas, "1.00"));
  EXPECT_TRUE(says(canvas, "one value everywhere"));
  const Image& heat = heat_of(canvas).image;
  for (std::size_t i = 0; i < heat.width; i += 7) {
    EXPECT_EQ(heat.colour(i, heat.height / 2), heat.colour(0, 0));
  }
}

TEST(PlaneMap, WithNothingSupportedIsStillDrawn) {
  PlaneMapInput input = bare(10, 10, 0.05);
  input.field.values.assign(100, std::nan(""));
  EXPECT_FALSE(supported_range(input.field).has_value());
  const Canvas canvas = draw_plane_map(input);
  EXPECT_TRUE(says(canvas, "no sweep supports this"));
  EXPECT_NE(canvas.description.find("No value is supported"), std::string::npos);
}

TEST(PlaneMap, UsesTheScaleItIsGivenForPlanesToBeCompared) {
  test::SampleStream weak;
  weak.peak_m_s = 1.0;
  PlaneMapInput input = test::sample_map(weak);
  input.scale = make_scale(Palette::speed, {0.0, 4.0});
  const Canvas canvas = draw_plane_map(input);
  EXPECT_TRUE(says(canvas, "4.0"));
  const Picture& heat = heat_of(canvas);
  const Point peak = place(canvas, input.field, weak.centre);
  const auto column = static_cast<std::size_t>((peak.x - heat.box.left) / heat.box.width() *
                                               static_cast<double>(heat.image.width));
  const auto row = static_cast<std::size_t>((peak.y - heat.box.top) / heat.box.height() *
                                            static_cast<double>(heat.image.height));
  EXPECT_LT(colour_distance(heat.image.colour(column, row), speed_colours().at(0.25)), 0.02);
}

TEST(PlaneMap, DrawsNoFlowUnderTheFloor) {
  PlaneMapInput input = bare(20, 20, 0.05);
  input.field.values[5] = 3.0;
  input.floor_m = 0.8;
  const Canvas canvas = draw_plane_map(input);
  const Image& heat = heat_of(canvas).image;
  EXPECT_EQ(heat.opacity(heat.width / 2, heat.height - 2), 0);
  EXPECT_EQ(heat.opacity(heat.width / 2, 2), 255);
  EXPECT_TRUE(says(canvas, "floor"));
}

TEST(PlaneMap, ScaleStartsAtZeroUnlessTheFlowIsReversed) {
  EXPECT_EQ(make_scale(Palette::speed, {0.4, 3.9}).range.low, 0.0);
  EXPECT_EQ(make_scale(Palette::speed, {-0.01, 3.9}).range.low, 0.0);
  const HeatScale reversed = make_scale(Palette::speed, {-0.6, 3.9});
  EXPECT_LE(reversed.range.low, -0.6);
  EXPECT_NE(std::find(reversed.levels.begin(), reversed.levels.end(), 0.0), reversed.levels.end());
}

TEST(PlaneMap, NamesPeakFlowAndMomentumInItsCaption) {
  const Canvas canvas = draw_plane_map(test::sample_map({}));
  EXPECT_TRUE(says(canvas, "peak 3.90 m/s · flow 0.613 ± 0.060 m³/s"));
  EXPECT_TRUE(says(canvas, "height z [m]"));
  EXPECT_TRUE(says(canvas, "speed [m/s]"));
  EXPECT_TRUE(says(canvas, "outlet"));
}

TEST(PlaneMap, LeavesTheMiddleOfTheCentreMarkOpen) {
  PlaneMapInput input = bare(30, 30, 0.02);
  input.centre = PlanePoint{0.0, 0.8};
  const Canvas canvas = draw_plane_map(input);
  const Point at = place(canvas, input.field, *input.centre);
  int arms = 0;
  for (const Item& item : canvas.items) {
    if (const auto* path = std::get_if<Path>(&item)) {
      for (const std::vector<Point>& line : path->lines) {
        for (const Point p : line) {
          const double off = std::hypot(p.x - at.x, p.y - at.y);
          arms += off < 14.0 ? 1 : 0;
          EXPECT_GT(off, 5.0);
        }
      }
    }
  }
  EXPECT_GE(arms, 8);
}

TEST(PlaneMap, DrawsReadingsAtTheEdgeWhole) {
  PlaneMapInput input = bare(30, 30, 0.02);
  input.readings = {{{input.field.across_range().low, 0.8}, 1.0, false}};
  bool clipped = false;
  bool found = false;
  for (const Item& item : draw_plane_map(input).items) {
    clipped = std::holds_alternative<ClipBegin>(item) ||
              (clipped && !std::holds_alternative<ClipEnd>(item));
    if (const auto* circle = std::get_if<Circle>(&item); circle && !circle->hover.empty()) {
      found = true;
      EXPECT_FALSE(clipped);
    }
  }
  EXPECT_TRUE(found);
}

TEST(PlaneMap, DrawsNoContourAroundNextToNothing) {
  // One cell a hair above a level, in a wide even field.
  PlaneMapInput input = bare(60, 40, 0.02);
  input.field.values.assign(60 * 40, 0.999);
  input.field.values[20 * 60 + 30] = 1.001;
  input.scale = HeatScale{Palette::speed, {0.0, 2.0}, {1.0}};
  for (const Item& item : draw_plane_map(input).items) {
    const auto* path = std::get_if<Path>(&item);
    EXPECT_FALSE(path && !path->closed && path->lines.size() == 1 && path->lines[0].size() == 5);
  }
}

TEST(PlaneMap, RefusesAFieldWhoseSizesDoNotFit) {
  PlaneMapInput input = bare(10, 10, 0.05);
  input.field.values.pop_back();
  EXPECT_THROW((void)draw_plane_map(input), InputError);
}

}  // namespace
}  // namespace sweepflux::render
