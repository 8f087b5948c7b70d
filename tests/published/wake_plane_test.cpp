// A measured plane behind a turbine in a towing tank: P. Bachant, M. Wosnik, B. Gunawan, V. Neary
// 2016, CC-BY-4.0. Seven heights of 43 places across; the load cells' thrust in every row.

#include "sweepflux/base/error.hpp"
#include "sweepflux/field/general/interpolants.hpp"
#include "tests/support/plain_table.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

namespace sweepflux {
namespace {

constexpr double rotor_radius_m = 0.5375;
constexpr double blade_height_m = 0.807;

struct WakePlane {
  std::vector<double> y;  // 43 places across
  std::vector<double> z;  // 13 heights, the lower half mirrored
  std::vector<double> u;  // row-major, 13 x 43, at 1 m/s of tow
  double thrust_coefficient = 0.0;

  [[nodiscard]] ScatteredValues values() const {
    ScatteredValues v;
    for (std::size_t k = 0; k < z.size(); ++k) {
      for (std::size_t i = 0; i < y.size(); ++i) {
        v.at.push_back({y[i], z[k]});
        v.value.push_back(u[k * y.size() + i]);
      }
    }
    return v;
  }
};

WakePlane read_plane(const std::filesystem::path& shared) {
  WakePlane plane;
  std::vector<std::vector<double>> rows;
  const std::vector<std::string> heights{"0.0", "0.125", "0.25", "0.375", "0.5", "0.625", "0.75"};
  for (const std::string& height : heights) {
    const test::PlainTable table =
        test::read_plain_table(shared / "outside/wake-plane" / ("Wake-1.0-" + height + ".csv"));
    const std::vector<double> y = table.numbers("y_R");
    const std::vector<double> speed = table.numbers("mean_u");
    for (const double coefficient : table.numbers("mean_cd")) {
      plane.thrust_coefficient += coefficient / (43.0 * 7.0);
    }
    std::vector<std::size_t> order(y.size());
    for (std::size_t i = 0; i < order.size(); ++i) {
      order[i] = i;
    }
    std::sort(
        order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return y[a] < y[b]; });
    rows.emplace_back();
    plane.y.clear();
    for (const std::size_t i : order) {
      rows.back().push_back(speed[i]);
      plane.y.push_back(y[i] * rotor_radius_m);
    }
    plane.z.push_back(table.numbers("z_H")[0] * blade_height_m);
  }
  std::vector<double> mirrored;
  for (std::size_t k = rows.size() - 1; k > 0; --k) {
    mirrored.push_back(-plane.z[k]);
    plane.u.insert(plane.u.end(), rows[k].begin(), rows[k].end());
  }
  for (const std::vector<double>& row : rows) {
    plane.u.insert(plane.u.end(), row.begin(), row.end());
  }
  plane.z.insert(plane.z.begin(), mirrored.begin(), mirrored.end());
  return plane;
}

/// Trapezoid rule on a tensor grid, of u to a power.
double integral(const std::vector<double>& y,
                const std::vector<double>& z,
                const std::vector<double>& u,
                int power) {
  const auto weight = [](const std::vector<double>& x, std::size_t i) {
    return 0.5 * (x[std::min(i + 1, x.size() - 1)] - x[i == 0 ? 0 : i - 1]);
  };
  double sum = 0.0;
  for (std::size_t k = 0; k < z.size(); ++k) {
    for (std::size_t i = 0; i < y.size(); ++i) {
      sum += weight(y, i) * weight(z, k) * std::pow(u[k * y.size() + i], power);
    }
  }
  return sum;
}

std::vector<double> divided(double low, double high, std::size_t count) {
  std::vector<double> x;
  for (std::size_t i = 0; i < count; ++i) {
    x.push_back(low + (high - low) * static_cast<double>(i) / static_cast<double>(count - 1));
  }
  return x;
}

TEST(WakePlane, HasTheIntegralsOfItsTrapezoidRule) {
  SWEEPFLUX_NEED_SHARED(shared);
  const WakePlane plane = read_plane(shared);
  ASSERT_EQ(plane.u.size(), 13U * 43U);
  EXPECT_NEAR(integral(plane.y, plane.z, plane.u, 1), 3.2490127, 1e-6);
  EXPECT_NEAR(integral(plane.y, plane.z, plane.u, 2), 3.1695703, 1e-6);
}

TEST(WakePlane, IntegratesAlikeByEveryInterpolantThatMeetsTheReadings) {
  SWEEPFLUX_NEED_SHARED(shared);
  const WakePlane plane = read_plane(shared);
  const std::vector<double> y = divided(plane.y.front(), plane.y.back(), 211);
  const std::vector<double> z = divided(plane.z.front(), plane.z.back(), 121);
  std::vector<PlanePoint> wanted;
  for (const double height : z) {
    for (const double across : y) {
      wanted.push_back({across, height});
    }
  }
  for (const Method method : {Method::linear, Method::thin_plate, Method::kriging}) {
    const Interpolated map = interpolate(plane.values(), wanted, method);
    EXPECT_NEAR(integral(y, z, map.value, 1) / 3.2490127, 1.0, 0.001);
    EXPECT_NEAR(integral(y, z, map.value, 2) / 3.1695703, 1.0, 0.004);
    if (method == Method::thin_plate) {
      const double most = *std::max_element(map.value.begin(), map.value.end());
      EXPECT_NEAR(most, 1.1148, 5e-4);
      ASSERT_FALSE(map.notes.empty());
      EXPECT_NE(map.notes[0].find("above the largest reading"), std::string::npos);
    }
    if (method == Method::linear) {
      EXPECT_LE(*std::max_element(map.value.begin(), map.value.end()), 1.0871);
    }
  }
}

// 0.93 rotor diameters behind the rotor of a confined stream the momentum does not close, and no
// choice here may make it: the deficit from the plane is a fifth of what the load cells felt.
TEST(WakePlane, DoesNotCloseWithTheLoadCells) {
  SWEEPFLUX_NEED_SHARED(shared);
  const WakePlane plane = read_plane(shared);
  EXPECT_NEAR(plane.thrust_coefficient, 0.84585, 5e-6);
  const double area = 2.0 * rotor_radius_m * blade_height_m;
  const double deficit =
      integral(plane.y, plane.z, plane.u, 1) - integral(plane.y, plane.z, plane.u, 2);
  EXPECT_NEAR(2.0 * deficit / area, 0.1831, 5e-5);
}

}  // namespace
}  // namespace sweepflux
