#include "sweepflux/record/image_data.hpp"

#include "tests/support/made_result.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdint>
#include <cstring>

namespace sweepflux {
namespace {

std::string attribute(const std::string& xml, const std::string& name) {
  const std::size_t start = xml.find(" " + name + "=\"");
  if (start == std::string::npos) {
    return "none";
  }
  const std::size_t from = start + name.size() + 3;
  return xml.substr(from, xml.find('"', from) - from);
}

/// RFC 4648, part 4; what the writer's own encoder must be undone by.
std::vector<std::uint8_t> from_base64(const std::string& text) {
  std::vector<std::uint8_t> bytes;
  std::uint32_t group = 0;
  int bits = 0;
  for (const char c : text) {
    int value = -1;
    if (c >= 'A' && c <= 'Z') {
      value = c - 'A';
    } else if (c >= 'a' && c <= 'z') {
      value = c - 'a' + 26;
    } else if (c >= '0' && c <= '9') {
      value = c - '0' + 52;
    } else if (c == '+') {
      value = 62;
    } else if (c == '/') {
      value = 63;
    } else {
      continue;  // blanks and the padding
    }
    group = (group << 6) | static_cast<std::uint32_t>(value);
    bits += 6;
    if (bits >= 8) {
      bits -= 8;
      bytes.push_back(static_cast<std::uint8_t>(group >> bits));
    }
  }
  return bytes;
}

std::vector<double> array(const std::string& xml, const std::string& name) {
  const std::size_t heading = xml.find("Name=\"" + name + "\"");
  const std::size_t from = xml.find('>', heading) + 1;
  const std::vector<std::uint8_t> bytes = from_base64(xml.substr(from, xml.find('<', from) - from));
  std::uint64_t length = 0;
  std::memcpy(&length, bytes.data(), 8);  // the tests run on little-endian machines
  EXPECT_EQ(length + 8, bytes.size());
  std::vector<double> values(length / 8);
  std::memcpy(values.data(), bytes.data() + 8, length);
  return values;
}

TEST(PlaneImageData, StandsWhereThePlaneStoodAndKeepsEveryBit) {
  const PlaneResult plane = test::made_result().planes[0];
  const std::string xml = plane_image_data(plane);
  EXPECT_EQ(attribute(xml, "WholeExtent"), "0 0 0 6 0 8");
  EXPECT_EQ(attribute(xml, "Origin"), "1.5 -0.3 0.5");
  EXPECT_EQ(attribute(xml, "Spacing"), "0.1 0.1 0.1");
  EXPECT_EQ(array(xml, "speed_m_s"), plane.map.speed_m_s);
  EXPECT_EQ(array(xml, "speed_uncertainty_m_s"), plane.map.uncertainty_m_s);
  EXPECT_EQ(array(xml, "support"), plane.map.support);
}

TEST(PlaneImageData, RefusesAMapThatIsNotWhole) {
  PlaneResult plane = test::made_result().planes[0];
  plane.map.support.pop_back();
  EXPECT_THROW(static_cast<void>(plane_image_data(plane)), InputError);
  plane.map = {};
  EXPECT_THROW(static_cast<void>(plane_image_data(plane)), InputError);
}

/// A map of the linear function a + b y + c z, which interpolation must keep.
PlaneResult linear_plane(double distance_m, std::size_t n, double step_m, double a) {
  PlaneResult plane;
  plane.distance_m = distance_m;
  plane.map = {-0.2, 0.4, step_m, n, n, {}, {}, {}};
  for (std::size_t iz = 0; iz < n; ++iz) {
    for (std::size_t iy = 0; iy < n; ++iy) {
      const double y_m = -0.2 + static_cast<double>(iy) * step_m;
      const double z_m = 0.4 + static_cast<double>(iz) * step_m;
      plane.map.speed_m_s.push_back(a + 2 * y_m - z_m);
      plane.map.uncertainty_m_s.push_back(0.1);
      plane.map.support.push_back(1.0);
    }
  }
  return plane;
}

TEST(VolumeImageData, PutsEachPlaneOnALayerAndRunsStraightBetween) {
  const std::vector<PlaneResult> planes = {linear_plane(1.0, 5, 0.1, 3.0),
                                           linear_plane(1.5, 9, 0.05, 2.0),
                                           linear_plane(2.5, 5, 0.1, 1.0)};
  const std::string xml = volume_image_data(planes);
  ASSERT_EQ(attribute(xml, "WholeExtent"), "0 3 0 8 0 8");
  EXPECT_EQ(attribute(xml, "Spacing"), "0.5 0.05 0.05");
  const std::vector<double> speed = array(xml, "speed_m_s");
  for (std::size_t iz = 0; iz < 9; ++iz) {
    for (std::size_t iy = 0; iy < 9; ++iy) {
      const double across =
          2 * (-0.2 + static_cast<double>(iy) * 0.05) - (0.4 + static_cast<double>(iz) * 0.05);
      const double wanted[] = {3.0, 2.0, 1.5, 1.0};
      for (std::size_t ix = 0; ix < 4; ++ix) {
        EXPECT_NEAR(speed[ix + 4 * (iy + 9 * iz)], wanted[ix] + across, 1e-12);
      }
    }
  }
}

TEST(VolumeImageData, SaysNotANumberWhereAPlaneHasNoMap) {
  const std::vector<PlaneResult> planes = {linear_plane(1.0, 3, 0.1, 3.0),
                                           linear_plane(2.0, 5, 0.1, 2.0)};
  const std::string xml = volume_image_data(planes);
  ASSERT_EQ(attribute(xml, "WholeExtent"), "0 1 0 4 0 4");
  const std::vector<double> speed = array(xml, "speed_m_s");
  const std::vector<double> support = array(xml, "support");
  const std::size_t corner = 2 * (4 + 5 * 4);
  EXPECT_TRUE(std::isnan(speed[corner]));
  EXPECT_EQ(support[corner], 0.0);
  EXPECT_NEAR(speed[corner + 1], 2.0 + 2 * 0.2 - 0.8, 1e-12) << "the far plane keeps its corner";
  EXPECT_EQ(support[corner + 1], 1.0);
}

TEST(VolumeImageData, StaysSmallForFineMapsAndOddDistances) {
  const std::vector<PlaneResult> planes = {linear_plane(1.0, 201, 0.002, 3.0),
                                           linear_plane(1.513, 201, 0.002, 3.0),
                                           linear_plane(2.777, 201, 0.002, 3.0)};
  EXPECT_LE(array(volume_image_data(planes), "support").size(), 300'000u);
}

TEST(VolumeImageData, RefusesOnePlaneAndPlanesOutOfOrder) {
  const std::vector<PlaneResult> planes = {linear_plane(2.0, 3, 0.1, 3.0),
                                           linear_plane(1.0, 3, 0.1, 2.0)};
  EXPECT_THROW(static_cast<void>(volume_image_data(planes)), InputError);
  EXPECT_THROW(static_cast<void>(volume_image_data(std::span(planes).first(1))), InputError);
}

}  // namespace
}  // namespace sweepflux
