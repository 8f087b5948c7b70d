#include "sweepflux/record/image_data.hpp"

#include "sweepflux/record/number_text_private.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstdint>
#include <limits>

namespace sweepflux {
namespace {

/// A block of point data; x runs fastest, then y, then z, as VTK orders it.
struct Grid {
  std::array<std::size_t, 3> count{};
  std::array<double, 3> origin_m{};
  std::array<double, 3> step_m{};
  std::vector<double> speed_m_s;
  std::vector<double> uncertainty_m_s;
  std::vector<double> support;
};

void append_base64(std::string& text, std::span<const std::uint8_t> bytes) {
  static constexpr char letters[] =
      "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    const std::size_t left = std::min<std::size_t>(3, bytes.size() - i);
    std::uint32_t group = 0;
    for (std::size_t k = 0; k < 3; ++k) {
      group = (group << 8) | (k < left ? bytes[i + k] : 0u);
    }
    for (std::size_t k = 0; k < 4; ++k) {
      text += k <= left ? letters[(group >> (18 - 6 * k)) & 63u] : '=';
    }
  }
}

/// Little-endian on any machine.
void append_bytes(std::vector<std::uint8_t>& bytes, std::uint64_t word) {
  for (int shift = 0; shift < 64; shift += 8) {
    bytes.push_back(static_cast<std::uint8_t>(word >> shift));
  }
}

void append_array(std::string& text, const char* name, const std::vector<double>& values) {
  std::vector<std::uint8_t> bytes;
  bytes.reserve(8 * values.size() + 8);
  append_bytes(bytes, 8 * values.size());  // the block's length stands before it, as UInt64
  for (const double value : values) {
    append_bytes(bytes, std::bit_cast<std::uint64_t>(value));
  }
  text += "        <DataArray type=\"Float64\" Name=\"" + std::string(name) +
          "\" format=\"binary\">\n          ";
  append_base64(text, bytes);
  text += "\n        </DataArray>\n";
}

std::string triple(const std::array<double, 3>& values) {
  std::string text;
  for (std::size_t k = 0; k < 3; ++k) {
    text += k == 0 ? "" : " ";
    append_number(text, values[k]);
  }
  return text;
}

std::string to_xml(const Grid& grid) {
  std::string extent;
  for (std::size_t k = 0; k < 3; ++k) {
    extent += (k == 0 ? "0 " : " 0 ") + std::to_string(grid.count[k] - 1);
  }
  std::string text =
      "<?xml version=\"1.0\"?>\n"
      "<VTKFile type=\"ImageData\" version=\"1.0\" byte_order=\"LittleEndian\" "
      "header_type=\"UInt64\">\n";
  text += "  <ImageData WholeExtent=\"" + extent + "\" Origin=\"" + triple(grid.origin_m) +
          "\" Spacing=\"" + triple(grid.step_m) + "\">\n";
  text += "    <Piece Extent=\"" + extent + "\">\n      <PointData Scalars=\"speed_m_s\">\n";
  append_array(text, "speed_m_s", grid.speed_m_s);
  append_array(text, "speed_uncertainty_m_s", grid.uncertainty_m_s);
  append_array(text, "support", grid.support);
  text += "      </PointData>\n    </Piece>\n  </ImageData>\n</VTKFile>\n";
  return text;
}

void check_whole(const PlaneMap& map) {
  const std::size_t count = map.ny * map.nz;
  if (count == 0 || !(map.step_m > 0) || map.speed_m_s.size() != count ||
      map.uncertainty_m_s.size() != count || map.support.size() != count) {
    throw InputError(
        "a map of " + std::to_string(map.ny) + " x " + std::to_string(map.nz) +
        " points must have a step > 0 and that many values of each kind, at least one");
  }
}

/// One value out of a map, straight between its points; not-a-number outside.
double look_up(const PlaneMap& map, const std::vector<double>& values, double y_m, double z_m) {
  const double a = (y_m - map.y_min_m) / map.step_m;
  const double b = (z_m - map.z_min_m) / map.step_m;
  const double slack = 1e-6;  // of a step: rounding must not cut off the last row
  const double a_max = static_cast<double>(map.ny - 1);
  const double b_max = static_cast<double>(map.nz - 1);
  if (a < -slack || b < -slack || a > a_max + slack || b > b_max + slack) {
    return std::numeric_limits<double>::quiet_NaN();
  }
  const double a_in = std::clamp(a, 0.0, a_max);
  const double b_in = std::clamp(b, 0.0, b_max);
  const auto iy =
      std::min(static_cast<std::size_t>(a_in), map.ny - std::min<std::size_t>(map.ny, 2));
  const auto iz =
      std::min(static_cast<std::size_t>(b_in), map.nz - std::min<std::size_t>(map.nz, 2));
  const std::size_t right = iy + (map.ny > 1 ? 1 : 0);
  const std::size_t up = iz + (map.nz > 1 ? 1 : 0);
  const double s = a_in - static_cast<double>(iy);
  const double t = b_in - static_cast<double>(iz);
  return (1 - t) * ((1 - s) * values[iz * map.ny + iy] + s * values[iz * map.ny + right]) +
         t * ((1 - s) * values[up * map.ny + iy] + s * values[up * map.ny + right]);
}

constexpr std::size_t most_layers = 60;
constexpr std::size_t most_points = 300'000;  // some 10 MB of file

/// The fewest even layers along the stream such that every plane lies on one, to 1 mm.
std::size_t layers_along(std::span<const PlaneResult> planes) {
  const double first_m = planes.front().distance_m;
  const double length_m = planes.back().distance_m - first_m;
  for (std::size_t steps = planes.size() - 1; steps + 1 < most_layers; ++steps) {
    const double step_m = length_m / static_cast<double>(steps);
    const bool all_hit = std::all_of(planes.begin(), planes.end(), [&](const PlaneResult& plane) {
      const double position = (plane.distance_m - first_m) / step_m;
      return std::abs(position - std::round(position)) * step_m <= 1e-3;
    });
    if (all_hit) {
      return steps + 1;
    }
  }
  return most_layers;
}

/// The points of a range, both ends included when they fall on one.
std::size_t points_over(double length, double step) {
  return static_cast<std::size_t>(std::floor(length / step + 1e-6)) + 1;
}

Grid grid_around(std::span<const PlaneResult> planes) {
  double finest_m = planes.front().map.step_m;
  Window around{1e300, -1e300, 1e300, -1e300};
  for (const PlaneResult& plane : planes) {
    const PlaneMap& map = plane.map;
    finest_m = std::min(finest_m, map.step_m);
    around.y_min_m = std::min(around.y_min_m, map.y_min_m);
    around.z_min_m = std::min(around.z_min_m, map.z_min_m);
    around.y_max_m =
        std::max(around.y_max_m, map.y_min_m + map.step_m * static_cast<double>(map.ny - 1));
    around.z_max_m =
        std::max(around.z_max_m, map.z_min_m + map.step_m * static_cast<double>(map.nz - 1));
  }
  const std::size_t layers = layers_along(planes);
  double step_m = finest_m;
  while (points_over(around.width_m(), step_m) * points_over(around.height_m(), step_m) * layers >
         most_points) {
    step_m += finest_m;
  }
  Grid grid;
  grid.count = {
      layers, points_over(around.width_m(), step_m), points_over(around.height_m(), step_m)};
  grid.origin_m = {planes.front().distance_m, around.y_min_m, around.z_min_m};
  grid.step_m = {
      (planes.back().distance_m - planes.front().distance_m) / static_cast<double>(layers - 1),
      step_m,
      step_m};
  return grid;
}

/// Two neighbouring planes, and how far between them a layer lies (0 near, 1 far).
struct Between {
  const PlaneMap& near;
  const PlaneMap& far;
  double share = 0.0;

  [[nodiscard]] double value(std::vector<double> PlaneMap::*values, PlanePoint at) const {
    // A layer that lies on a plane must not lose its values where the other plane has no map.
    const double a = share > 1 - 1e-9 ? 0.0 : look_up(near, near.*values, at.y_m, at.z_m);
    const double b = share < 1e-9 ? 0.0 : look_up(far, far.*values, at.y_m, at.z_m);
    return (1 - share) * a + share * b;
  }
};

Between planes_around(std::span<const PlaneResult> planes, double x_m) {
  std::size_t near = 0;
  while (near + 2 < planes.size() && planes[near + 1].distance_m <= x_m) {
    ++near;
  }
  const double gap_m = planes[near + 1].distance_m - planes[near].distance_m;
  return {planes[near].map,
          planes[near + 1].map,
          std::clamp((x_m - planes[near].distance_m) / gap_m, 0.0, 1.0)};
}

}  // namespace

std::string plane_image_data(const PlaneResult& plane) {
  check_whole(plane.map);
  Grid grid;
  grid.count = {1, plane.map.ny, plane.map.nz};
  grid.origin_m = {plane.distance_m, plane.map.y_min_m, plane.map.z_min_m};
  grid.step_m = {plane.map.step_m, plane.map.step_m, plane.map.step_m};
  grid.speed_m_s = plane.map.speed_m_s;
  grid.uncertainty_m_s = plane.map.uncertainty_m_s;
  grid.support = plane.map.support;
  return to_xml(grid);
}

std::string volume_image_data(std::span<const PlaneResult> planes) {
  if (planes.size() < 2) {
    throw InputError("a volume needs two planes or more");
  }
  for (std::size_t k = 0; k < planes.size(); ++k) {
    check_whole(planes[k].map);
    if (k > 0 && !(planes[k].distance_m > planes[k - 1].distance_m)) {
      throw InputError("the planes of a volume must be in order, nearest first");
    }
  }
  Grid grid = grid_around(planes);
  for (std::size_t iz = 0; iz < grid.count[2]; ++iz) {
    for (std::size_t iy = 0; iy < grid.count[1]; ++iy) {
      const PlanePoint at{grid.origin_m[1] + static_cast<double>(iy) * grid.step_m[1],
                          grid.origin_m[2] + static_cast<double>(iz) * grid.step_m[2]};
      for (std::size_t ix = 0; ix < grid.count[0]; ++ix) {
        const Between between =
            planes_around(planes, grid.origin_m[0] + static_cast<double>(ix) * grid.step_m[0]);
        const double support = between.value(&PlaneMap::support, at);
        grid.speed_m_s.push_back(between.value(&PlaneMap::speed_m_s, at));
        grid.uncertainty_m_s.push_back(between.value(&PlaneMap::uncertainty_m_s, at));
        grid.support.push_back(std::isfinite(support) ? support : 0.0);
      }
    }
  }
  return to_xml(grid);
}

}  // namespace sweepflux
