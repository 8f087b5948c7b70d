#include "sweepflux/integrate/draw_map.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/parallel.hpp"
#include "sweepflux/base/statistics.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace sweepflux {
namespace {

constexpr double most_cells = 4e6;
constexpr std::size_t most_draws = 200;  // that a map is made from

/// A line of the map at a fractional cell of the other axis.
std::vector<double> profile_of(const PlaneMap& map, bool along_y, double cell) {
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

double half_width_m(const std::vector<double>& profile, double step_m) {
  const double level = 0.5 * *std::max_element(profile.begin(), profile.end());
  const auto n = profile.size();
  std::size_t first = 0, last = n - 1;
  while (first < n - 1 && profile[first] < level) {
    ++first;
  }
  while (last > 0 && profile[last] < level) {
    --last;
  }
  double low = static_cast<double>(first), high = static_cast<double>(last);
  if (first > 0) {
    low -= (profile[first] - level) / (profile[first] - profile[first - 1]);
  }
  if (last < n - 1) {
    high += (profile[last] - level) / (profile[last] - profile[last + 1]);
  }
  return 0.5 * step_m * (high - low);
}

}  // namespace

PlaneMap empty_map(const Window& window, double step_m) {
  PlaneMap map;
  map.step_m = step_m;
  const double ny = std::floor(window.width_m() / step_m) + 1.0;
  const double nz = std::floor(window.height_m() / step_m) + 1.0;
  if (!(ny * nz <= most_cells)) {
    throw InputError("the map's grid would have " + format_number(ny * nz) +
                     " cells; allowed are up to 4 million: choose a larger grid step");
  }
  map.ny = static_cast<std::size_t>(ny);
  map.nz = static_cast<std::size_t>(nz);
  // Centred in the window, so that a mirrored survey has a mirrored map.
  map.y_min_m = 0.5 * (window.y_min_m + window.y_max_m) - 0.5 * step_m * (ny - 1.0);
  map.z_min_m = 0.5 * (window.z_min_m + window.z_max_m) - 0.5 * step_m * (nz - 1.0);
  return map;
}

std::vector<double> support_of(const PlaneMap& grid,
                               const PlaneSamples& samples,
                               double half_width_y_m,
                               double half_width_z_m) {
  std::vector<double> nearest(grid.ny * grid.nz, 2.0);
  const double iy = 1.0 / half_width_y_m, iz = 1.0 / half_width_z_m;
  for (const Sample& s : samples.samples) {
    // Only cells within one half width can gain.
    const auto range = [&](double at, double low, double half, std::size_t n) {
      const double a = std::ceil((at - half - low) / grid.step_m);
      const double b = std::floor((at + half - low) / grid.step_m);
      return std::pair<std::size_t, std::size_t>{
          static_cast<std::size_t>(std::clamp(a, 0.0, static_cast<double>(n))),
          static_cast<std::size_t>(std::clamp(b + 1.0, 0.0, static_cast<double>(n)))};
    };
    const auto [y0, y1] = range(s.at.y_m, grid.y_min_m, half_width_y_m, grid.ny);
    const auto [z0, z1] = range(s.at.z_m, grid.z_min_m, half_width_z_m, grid.nz);
    for (std::size_t k = z0; k < z1; ++k) {
      const double dz = (grid.z_m(k) - s.at.z_m) * iz;
      for (std::size_t i = y0; i < y1; ++i) {
        const double dy = (grid.y_m(i) - s.at.y_m) * iy;
        nearest[k * grid.ny + i] = std::min(nearest[k * grid.ny + i], dy * dy + dz * dz);
      }
    }
  }
  for (double& d : nearest) {
    d = std::clamp(2.0 * (1.0 - std::sqrt(d)), 0.0, 1.0);
  }
  return nearest;
}

PlaneMap draw_map(const StreamPosterior& posterior,
                  std::size_t plane,
                  const PlaneSamples& samples,
                  const PlaneDraws& draws,
                  double step_m,
                  int threads) {
  const double a = median(draws.half_width_y_m), b = median(draws.half_width_z_m);
  const Window& window = samples.window;
  if (step_m <= 0.0) {
    step_m = std::clamp(std::min(a, b) / 8.0, window.width_m() / 400.0, window.width_m() / 60.0);
  }
  PlaneMap map = empty_map(window, step_m);
  for (auto* values : {&map.speed_m_s, &map.uncertainty_m_s, &map.low_m_s, &map.high_m_s}) {
    values->resize(map.ny * map.nz);
  }
  const std::size_t every = std::max<std::size_t>(1, posterior.draws() / most_draws);
  const std::size_t count = (posterior.draws() + every - 1) / every;
  parallel_for(map.nz, threads, [&](std::size_t k) {
    std::vector<PlanePoint> at(map.ny);
    for (std::size_t i = 0; i < map.ny; ++i) {
      at[i] = {map.y_m(i), map.z_m(k)};
    }
    std::vector<float> u(count * map.ny);
    for (std::size_t d = 0; d < count; ++d) {
      posterior.speeds(d * every, plane, at, {&u[d * map.ny], map.ny});
    }
    for (std::size_t i = 0; i < map.ny; ++i) {
      std::vector<double> column;
      for (std::size_t d = 0; d < count; ++d) {
        column.push_back(static_cast<double>(u[d * map.ny + i]));
      }
      const Estimate e = estimate_of(std::move(column));
      const std::size_t cell = k * map.ny + i;
      map.speed_m_s[cell] = e.value;
      map.uncertainty_m_s[cell] = e.standard_uncertainty;
      map.low_m_s[cell] = e.low_95;
      map.high_m_s[cell] = e.high_95;
    }
  });
  map.support = support_of(map, samples, a, b);
  return map;
}

StreamShape measure_shape(const PlaneMap& map) {
  StreamShape s;
  double sum = 0.0, sy = 0.0, sz = 0.0;
  for (std::size_t k = 0; k < map.nz; ++k) {
    for (std::size_t i = 0; i < map.ny; ++i) {
      const double u = map.speed_m_s[k * map.ny + i];
      s.peak_speed_m_s = std::max(s.peak_speed_m_s, u);
      sum += u * u;
      sy += u * u * map.y_m(i);
      sz += u * u * map.z_m(k);
    }
  }
  if (sum <= 0.0) {
    return s;
  }
  s.centre = {sy / sum, sz / sum};
  const double cell_y = (s.centre.y_m - map.y_min_m) / map.step_m;
  const double cell_z = (s.centre.z_m - map.z_min_m) / map.step_m;
  s.half_width_y_m = half_width_m(profile_of(map, true, cell_z), map.step_m);
  s.half_width_z_m = half_width_m(profile_of(map, false, cell_y), map.step_m);
  return s;
}

}  // namespace sweepflux
