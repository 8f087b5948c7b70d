#include "sweepflux/integrate/shape.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace sweepflux {
namespace {

struct HalfWidth {
  double half_m = 0.0;
  bool open = false;
};

HalfWidth half_width(const std::vector<double>& profile, double step) {
  const double level = 0.5 * *std::max_element(profile.begin(), profile.end());
  const auto n = profile.size();
  std::size_t first = 0, last = n - 1;
  while (first < n - 1 && profile[first] < level) {
    ++first;
  }
  while (last > 0 && profile[last] < level) {
    --last;
  }
  HalfWidth out;
  out.open = first == 0 || last == n - 1;
  double low = static_cast<double>(first), high = static_cast<double>(last);
  if (first > 0) {
    low -= (profile[first] - level) / (profile[first] - profile[first - 1]);
  }
  if (last < n - 1) {
    high += (profile[last] - level) / (profile[last] - profile[last + 1]);
  }
  out.half_m = 0.5 * step * (high - low);
  return out;
}

/// A line of the map at a fractional cell of the other axis.
std::vector<double> line_through(const PlaneMap& map, bool along_y, double cell) {
  const std::size_t across = along_y ? map.nz : map.ny;
  const std::size_t length = along_y ? map.ny : map.nz;
  const auto before =
      static_cast<std::size_t>(std::clamp(std::floor(cell), 0.0, static_cast<double>(across - 1)));
  const std::size_t after = std::min(before + 1, across - 1);
  const double t = std::clamp(cell - static_cast<double>(before), 0.0, 1.0);
  std::vector<double> out(length);
  for (std::size_t i = 0; i < length; ++i) {
    const double a =
        along_y ? map.speed_m_s[before * map.ny + i] : map.speed_m_s[i * map.ny + before];
    const double b =
        along_y ? map.speed_m_s[after * map.ny + i] : map.speed_m_s[i * map.ny + after];
    out[i] = (1.0 - t) * a + t * b;
  }
  return out;
}

}  // namespace

StreamShape measure_shape(const PlaneMap& map) {
  StreamShape s;
  double sum = 0.0, sy = 0.0, sz = 0.0;
  for (std::size_t k = 0; k < map.nz; ++k) {
    for (std::size_t i = 0; i < map.ny; ++i) {
      const double u = map.speed_m_s[k * map.ny + i];
      if (u > s.peak_speed_m_s) {
        s.peak_speed_m_s = u;
        s.peak = {map.y_m(i), map.z_m(k)};
        s.peak_at_edge = i == 0 || k == 0 || i + 1 == map.ny || k + 1 == map.nz;
      }
      sum += u * u;
      sy += u * u * map.y_m(i);
      sz += u * u * map.z_m(k);
    }
  }
  if (sum <= 0.0) {
    return s;
  }
  s.centre = {sy / sum, sz / sum};
  const HalfWidth y =
      half_width(line_through(map, true, (s.centre.z_m - map.z_min_m) / map.step_m), map.step_m);
  const HalfWidth z =
      half_width(line_through(map, false, (s.centre.y_m - map.y_min_m) / map.step_m), map.step_m);
  s.half_width_y_m = y.half_m;
  s.half_width_z_m = z.half_m;
  s.open_y = y.open;
  s.open_z = z.open;
  return s;
}

}  // namespace sweepflux
