#include "render/charts/grid_field.hpp"
#include "sweepflux/base/error.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>

namespace sweepflux::render {
namespace {

GridField sampled(const std::function<double(double, double)>& of,
                  std::size_t columns = 81,
                  std::size_t rows = 61) {
  GridField field;
  field.across_min = -1.0;
  field.up_min = -0.75;
  field.across_step = 2.0 / static_cast<double>(columns - 1);
  field.up_step = 1.5 / static_cast<double>(rows - 1);
  field.columns = columns;
  field.rows = rows;
  for (std::size_t row = 0; row < rows; ++row) {
    for (std::size_t column = 0; column < columns; ++column) {
      field.values.push_back(
          of(field.across(static_cast<double>(column)), field.up(static_cast<double>(row))));
    }
  }
  return field;
}

double length(const Contour& contour) {
  double sum = 0.0;
  const std::size_t n = contour.points.size();
  for (std::size_t i = 1; i < n + (contour.closed ? 1 : 0); ++i) {
    const auto& a = contour.points[i - 1];
    const auto& b = contour.points[i % n];
    sum += std::hypot(a.across - b.across, a.up - b.up);
  }
  return sum;
}

TEST(Contours, OfAConeAreOneClosedCircle) {
  const GridField field = sampled([](double x, double y) { return std::hypot(x - 0.1, y); });
  const std::vector<Contour> contours = trace_contours(field, 0.5);
  ASSERT_EQ(contours.size(), 1U);
  EXPECT_TRUE(contours[0].closed);
  EXPECT_NEAR(length(contours[0]), 2.0 * 3.14159265 * 0.5, 0.01);
  for (const Contour::Vertex& v : contours[0].points) {
    EXPECT_NEAR(std::hypot(v.across - 0.1, v.up), 0.5, 1e-3);
  }
}

TEST(Contours, OfAPlaneAreExact) {
  const GridField field = sampled([](double x, double y) { return 2.0 * x + y; });
  const std::vector<Contour> contours = trace_contours(field, 0.33);
  ASSERT_EQ(contours.size(), 1U);
  EXPECT_FALSE(contours[0].closed);
  for (const Contour::Vertex& v : contours[0].points) {
    EXPECT_NEAR(2.0 * v.across + v.up, 0.33, 1e-12);
  }
}

TEST(Contours, OfTwoHillsAreTwoLinesLongestFirst) {
  const GridField field = sampled([](double x, double y) {
    return std::exp(-20.0 * (std::pow(x - 0.5, 2) + y * y)) +
           std::exp(-40.0 * (std::pow(x + 0.5, 2) + y * y));
  });
  const std::vector<Contour> contours = trace_contours(field, 0.5);
  ASSERT_EQ(contours.size(), 2U);
  EXPECT_GT(length(contours[0]), length(contours[1]));
  EXPECT_GT(contours[0].points[0].across, 0.0);
}

TEST(Contours, SplitASaddleByTheMeanOfItsCorners) {
  GridField field;
  field.columns = 2;
  field.rows = 2;
  const auto joined_left_and_bottom = [&](double high, double level) {
    field.values = {high, 0.0, 0.0, high};  // lower left and upper right are above
    const std::vector<Contour> contours = trace_contours(field, level);
    EXPECT_EQ(contours.size(), 2U);
    for (const Contour& contour : contours) {
      bool left = false;
      bool bottom = false;
      for (const Contour::Vertex& v : contour.points) {
        left = left || v.across == 0.0;
        bottom = bottom || v.up == 0.0;
      }
      if (left && bottom) {
        return true;
      }
    }
    return false;
  };
  // Mean 0.5 below the level: each high corner is an island. Above: they hang together.
  EXPECT_TRUE(joined_left_and_bottom(1.0, 0.6));
  EXPECT_FALSE(joined_left_and_bottom(1.0, 0.4));
}

TEST(Contours, StayOutOfWhatIsNotMeasuredOrNotSupported) {
  GridField field = sampled([](double x, double y) { return std::hypot(x, y); });
  field.support.assign(field.values.size(), 1.0);
  for (std::size_t row = 0; row < field.rows; ++row) {
    for (std::size_t column = 0; column < field.columns; ++column) {
      const std::size_t i = row * field.columns + column;
      if (field.across(static_cast<double>(column)) > 0.2) {
        field.support[i] = 0.0;
      }
      if (field.up(static_cast<double>(row)) > 0.3) {
        field.values[i] = std::nan("");
      }
    }
  }
  for (const Contour& contour : trace_contours(field, 0.5, 0.5)) {
    EXPECT_FALSE(contour.closed);
    for (const Contour::Vertex& v : contour.points) {
      EXPECT_LE(v.across, 0.2 + 1e-9);
      EXPECT_LE(v.up, 0.3 + 1e-9);
    }
  }
}

TEST(Contours, OfAConstantFieldDoNotExist) {
  const GridField field = sampled([](double, double) { return 2.0; });
  EXPECT_TRUE(trace_contours(field, 2.0).empty());
  EXPECT_TRUE(trace_contours(field, 1.0).empty());
}

TEST(Fields, AreRefusedWhenTheirSizesDoNotFit) {
  GridField field = sampled([](double, double) { return 2.0; });
  field.values.pop_back();
  EXPECT_THROW((void)trace_contours(field, 1.0), InputError);
  EXPECT_THROW(check(GridField{}), InputError);
}

TEST(Fields, AreLookedUpBilinearlyAndNeverMixedWithHoles) {
  GridField field = sampled([](double x, double y) { return x + 10.0 * y; });
  EXPECT_NEAR(look_up(field, 0.1234, -0.321).value, 0.1234 - 3.21, 1e-12);
  EXPECT_NEAR(look_up(field, 9.0, 9.0).value, 8.5, 1e-12);  // clamped to the corner
  field.values[0] = std::nan("");
  EXPECT_TRUE(std::isnan(look_up(field, -0.999, -0.749).value));
  EXPECT_EQ(look_up(field, -0.999, -0.749).support, 0.0);
  EXPECT_EQ(look_up(field, field.across(0.9), field.up(0.9)).value, field.value(1, 1));
}

}  // namespace
}  // namespace sweepflux::render
