#include "sweepflux/field/general/interpolants.hpp"

#include "sweepflux/base/error.hpp"
#include "tests/support/dice.hpp"
#include "tests/support/plain_table.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>

namespace sweepflux {
namespace {

constexpr Method all_methods[] = {
    Method::kriging, Method::linear, Method::thin_plate, Method::inverse_distance};

/// The seven readings of [Isaaks 1989, chapter 12, table 12.1].
ScatteredValues textbook() {
  ScatteredValues v;
  v.at = {{61, 139}, {63, 140}, {64, 129}, {68, 128}, {71, 140}, {73, 141}, {75, 128}};
  v.value = {477, 696, 227, 646, 606, 791, 783};
  return v;
}

double at(const ScatteredValues& values, PlanePoint p, Method method) {
  return interpolate(values, std::span(&p, 1), method).value[0];
}

std::string message_of(const ScatteredValues& values, Method method) {
  try {
    (void)at(values, {0.0, 0.0}, method);
  } catch (const Error& e) {
    return e.what();
  }
  return "nothing was thrown";
}

/// One column a case: position and speed, rows without a speed left out.
ScatteredValues read_case(const std::filesystem::path& shared, const std::string& name) {
  const test::PlainTable table = test::read_plain_table(shared / "cases" / name);
  const std::vector<double> y = table.numbers("y_m");
  const std::vector<double> z = table.numbers("z_m");
  const std::vector<double> speed = table.numbers("speed_mps");
  ScatteredValues v;
  for (std::size_t i = 0; i < y.size(); ++i) {
    if (std::isfinite(speed[i])) {
      v.at.push_back({y[i], z[i]});
      v.value.push_back(speed[i]);
    }
  }
  return v;
}

// gstat 2.1-0 for the weights, scipy for the other two.
TEST(Interpolants, AgreeWithOthersOnTheTextbooksSevenPoints) {
  const PlanePoint p{65, 137};
  EXPECT_NEAR(at(textbook(), p, Method::inverse_distance), 597.620376, 1e-6);
  EXPECT_NEAR(at(textbook(), p, Method::linear), 548.65909091, 1e-6);
  EXPECT_NEAR(at(textbook(), p, Method::thin_plate), 536.49833645, 1e-6);
}

TEST(Interpolants, FillTheHolesOfAPlaneField) {
  SWEEPFLUX_NEED_SHARED(shared);
  const ScatteredValues v = read_case(shared, "case-20.csv");
  ASSERT_EQ(v.at.size(), 22U);
  for (const Method method : {Method::linear, Method::thin_plate}) {
    EXPECT_NEAR(at(v, {-0.2, 0.3}, method), 1.40, 1e-12);
    EXPECT_NEAR(at(v, {0.0, 0.5}, method), 1.50, 1e-12);
    EXPECT_NEAR(at(v, {0.2, 0.5}, method), 1.80, 1e-12);
  }
  // Midpoint sums over 400 x 400 cells; the surface's own integrals are .96 and 1.86112 / 1.2.
  std::vector<PlanePoint> nodes;
  for (int k = 0; k < 400; ++k) {
    for (int i = 0; i < 400; ++i) {
      nodes.push_back({-0.4 + 0.002 * (i + 0.5), 0.1 + 0.002 * (k + 0.5)});
    }
  }
  const Interpolated map = interpolate(v, nodes, Method::linear);
  double flow = 0.0;
  double momentum = 0.0;
  for (const double u : map.value) {
    flow += u * 4e-6;
    momentum += 1.2 * u * u * 4e-6;
  }
  EXPECT_NEAR(flow, 0.96, 1e-9);
  EXPECT_NEAR(momentum, 1.86112, 2e-5);
}

TEST(Interpolants, ThinPlateSwingsAroundASharpEdgeAndSaysSo) {
  SWEEPFLUX_NEED_SHARED(shared);
  const ScatteredValues v = read_case(shared, "case-21.csv");
  ASSERT_EQ(v.at.size(), 49U);
  std::vector<PlanePoint> nodes;
  for (int k = 0; k <= 60; ++k) {
    for (int i = 0; i <= 60; ++i) {
      nodes.push_back({-0.3 + 0.01 * i, 0.2 + 0.01 * k});
    }
  }
  const Interpolated map = interpolate(v, nodes, Method::thin_plate);
  EXPECT_NEAR(*std::min_element(map.value.begin(), map.value.end()), -0.569, 1e-3);
  EXPECT_NEAR(*std::max_element(map.value.begin(), map.value.end()), 5.750, 1e-3);
  ASSERT_EQ(map.notes.size(), 2U);
  EXPECT_NE(map.notes[0].find("below zero"), std::string::npos);
}

TEST(Interpolants, LinearKeepsTheTrapezoidSumOfASharpEdge) {
  SWEEPFLUX_NEED_SHARED(shared);
  const ScatteredValues v = read_case(shared, "case-21.csv");
  std::vector<PlanePoint> nodes;
  for (int k = 0; k < 600; ++k) {
    for (int i = 0; i < 600; ++i) {
      nodes.push_back({-0.3 + 0.001 * (i + 0.5), 0.2 + 0.001 * (k + 0.5)});
    }
  }
  double flow = 0.0;
  for (const double u : interpolate(v, nodes, Method::linear).value) {
    ASSERT_GE(u, 0.0);
    ASSERT_LE(u, 5.0 + 1e-12);
    flow += u * 1e-6;
  }
  EXPECT_NEAR(flow, 0.45, 1e-6);
}

TEST(Interpolants, DoNotDependOnTheOrderOfRows) {
  SWEEPFLUX_NEED_SHARED(shared);
  ScatteredValues v = read_case(shared, "case-21.csv");
  std::vector<PlanePoint> nodes;
  for (int k = 0; k <= 24; ++k) {
    for (int i = 0; i <= 24; ++i) {
      nodes.push_back({-0.3 + 0.025 * i, 0.2 + 0.025 * k});
    }
  }
  ScatteredValues shuffled = v;
  test::Dice dice(7);
  for (std::size_t i = v.at.size() - 1; i > 0; --i) {
    const std::size_t j = dice.any() % (i + 1);
    std::swap(shuffled.at[i], shuffled.at[j]);
    std::swap(shuffled.value[i], shuffled.value[j]);
  }
  for (const Method method : all_methods) {
    EXPECT_EQ(interpolate(v, nodes, method).value, interpolate(shuffled, nodes, method).value);
  }
}

TEST(Interpolants, MergeEqualPlacesAndWeighThemByTheirNoise) {
  ScatteredValues v = textbook();
  v.noise_sd.assign(7, 0.1);
  v.at.push_back(v.at[2]);
  v.value.push_back(237.0);
  v.noise_sd.push_back(0.2);
  EXPECT_NEAR(at(v, v.at[2], Method::linear), (4.0 * 227.0 + 237.0) / 5.0, 1e-9);
  EXPECT_NEAR(at(v, v.at[2], Method::thin_plate), (4.0 * 227.0 + 237.0) / 5.0, 1e-9);
  EXPECT_TRUE(std::isfinite(at(v, v.at[2], Method::kriging)));
}

TEST(Interpolants, GiveTheConstantOfConstantData) {
  ScatteredValues v = textbook();
  v.value.assign(7, 0.7);
  for (const Method method : all_methods) {
    EXPECT_EQ(at(v, {66, 135}, method), 0.7);
  }
  const PlanePoint p{66, 135};
  const Interpolated map = interpolate(v, std::span(&p, 1), Method::kriging);
  EXPECT_TRUE(map.variance.empty());
  ASSERT_EQ(map.notes.size(), 1U);
  EXPECT_NE(map.notes[0].find("not estimable"), std::string::npos);
}

TEST(Interpolants, SayHowThePlacesLieWhenTheyLieInOneLine) {
  ScatteredValues v;
  for (int i = 0; i < 9; ++i) {
    v.at.push_back({-0.4 + 0.1 * i, 0.4});
    v.value.push_back(1.0 + 0.1 * i * i);
  }
  EXPECT_EQ(message_of(v, Method::linear),
            "linear: all 9 places lie at z = 0.4 m: two heights are needed");
  EXPECT_EQ(message_of(v, Method::thin_plate),
            "thin plate: all 9 places lie at z = 0.4 m: two heights are needed");
  for (PlanePoint& p : v.at) {
    p = {0.125, p.y_m};
  }
  EXPECT_EQ(message_of(v, Method::linear),
            "linear: all 9 places lie at y = 0.125 m: readings to both sides are needed");
  for (PlanePoint& p : v.at) {
    p.y_m = 0.3 * p.z_m;
  }
  EXPECT_EQ(message_of(v, Method::thin_plate),
            "thin plate: all 9 places lie in one slanting line: places beside it are needed");
}

TEST(Interpolants, KrigingAndInverseDistanceTakePlacesInOneLine) {
  ScatteredValues v;
  for (int i = 0; i < 9; ++i) {
    v.at.push_back({-0.4 + 0.1 * i, 0.4});
    v.value.push_back(1.0 + std::sin(0.5 * i));
  }
  EXPECT_NEAR(at(v, {0.05, 0.4}, Method::kriging), 1.0 + std::sin(2.25), 0.02);
  EXPECT_TRUE(std::isfinite(at(v, {0.05, 0.4}, Method::inverse_distance)));
}

TEST(Interpolants, RefuseWhatIsNoNumberAndTheDefaultRecipe) {
  ScatteredValues v = textbook();
  EXPECT_THROW((void)at(v, {65, 137}, Method::automatic), InputError);
  v.value[3] = std::nan("");
  EXPECT_THROW((void)at(v, {65, 137}, Method::linear), InputError);
  v = textbook();
  v.value.pop_back();
  EXPECT_THROW((void)at(v, {65, 137}, Method::linear), InputError);
  EXPECT_THROW((void)at(textbook(), {std::nan(""), 137}, Method::linear), InputError);
}

TEST(Interpolants, LinearHasNoValueOutsideTheHullAndSaysHowOften) {
  const std::vector<PlanePoint> wanted{{60, 130}, {65, 137}, {80, 140}};
  const Interpolated map = interpolate(textbook(), wanted, Method::linear);
  EXPECT_TRUE(std::isnan(map.value[0]));
  EXPECT_FALSE(std::isnan(map.value[1]));
  EXPECT_TRUE(std::isnan(map.value[2]));
  ASSERT_EQ(map.notes.size(), 1U);
  EXPECT_NE(map.notes[0].find("2 of 3"), std::string::npos);
}

/// Franke's function [Franke 1982].
double franke(double x, double y) {
  const auto square = [](double v) { return v * v; };
  return 0.75 * std::exp(-(square(9 * x - 2) + square(9 * y - 2)) / 4) +
         0.75 * std::exp(-square(9 * x + 1) / 49 - (9 * y + 1) / 10) +
         0.5 * std::exp(-(square(9 * x - 7) + square(9 * y - 3)) / 4) -
         0.2 * std::exp(-square(9 * x - 4) - square(9 * y - 7));
}

ScatteredValues franke_points(const std::filesystem::path& shared) {
  const test::PlainTable table = test::read_plain_table(shared / "outside/franke_ds1.csv");
  const std::vector<double> x = table.numbers("x");
  const std::vector<double> y = table.numbers("y");
  ScatteredValues v;
  for (std::size_t i = 0; i < x.size(); ++i) {
    v.at.push_back({x[i], y[i]});
    v.value.push_back(franke(x[i], y[i]));
  }
  return v;
}

std::vector<PlanePoint> unit_grid(int count) {
  std::vector<PlanePoint> nodes;
  for (int k = 0; k < count; ++k) {
    for (int i = 0; i < count; ++i) {
      nodes.push_back({i / (count - 1.0), k / (count - 1.0)});
    }
  }
  return nodes;
}

TEST(Interpolants, MeetFrankesFunctionAsWellAsPublished) {
  SWEEPFLUX_NEED_SHARED(shared);
  EXPECT_NEAR(franke(0.5, 0.5), 0.3257620893, 1e-10);
  const ScatteredValues v = franke_points(shared);
  ASSERT_EQ(v.at.size(), 100U);
  const std::vector<PlanePoint> nodes = unit_grid(33);
  const Interpolated thin = interpolate(v, nodes, Method::thin_plate);
  const Interpolated kriged = interpolate(v, nodes, Method::kriging);
  double thin_square = 0.0;
  double kriged_square = 0.0;
  for (std::size_t i = 0; i < nodes.size(); ++i) {
    const double truth = franke(nodes[i].y_m, nodes[i].z_m);
    thin_square += (thin.value[i] - truth) * (thin.value[i] - truth) / 1089.0;
    kriged_square += (kriged.value[i] - truth) * (kriged.value[i] - truth) / 1089.0;
  }
  EXPECT_NEAR(std::sqrt(thin_square), 0.00947, 1e-5);
  EXPECT_LT(std::sqrt(kriged_square), 0.00947);
  const Interpolated linear = interpolate(v, nodes, Method::linear);
  EXPECT_EQ(std::count_if(
                linear.value.begin(), linear.value.end(), [](double u) { return std::isnan(u); }),
            13);
}

TEST(Interpolants, ThinPlateIntegratesFrankesFunction) {
  SWEEPFLUX_NEED_SHARED(shared);
  const std::vector<PlanePoint> nodes = unit_grid(33);
  const Interpolated thin = interpolate(franke_points(shared), nodes, Method::thin_plate);
  double integral = 0.0;  // trapezoid over 33 x 33, as the reference has it
  for (std::size_t i = 0; i < nodes.size(); ++i) {
    const double edge_y = (i % 33 == 0 || i % 33 == 32) ? 0.5 : 1.0;
    const double edge_z = (i / 33 == 0 || i / 33 == 32) ? 0.5 : 1.0;
    integral += thin.value[i] * edge_y * edge_z / 1024.0;
  }
  EXPECT_NEAR(integral, 0.40525, 1e-5);
}

}  // namespace
}  // namespace sweepflux
