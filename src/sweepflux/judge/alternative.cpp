#include "sweepflux/judge/alternative_private.hpp"

#include "sweepflux/derive/sample/answerable.hpp"
#include "sweepflux/field/general/interpolants.hpp"
#include "sweepflux/integrate/draw_map.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace sweepflux {
namespace {

ScatteredValues values_of(const PlaneSamples& samples, double left_out_height_m) {
  ScatteredValues v;
  for (const Sample& s : samples.samples) {
    const double height = samples.sweeps[static_cast<std::size_t>(s.sweep)].height_m;
    if (std::abs(height - left_out_height_m) < 1e-6) {
      continue;
    }
    v.at.push_back(s.at);
    v.value.push_back(s.censored ? 0.0 : s.speed_m_s);
    v.noise_sd.push_back(s.noise_m_s);
  }
  return v;
}

/// The cells of a map, with their weights in the trapezoid: half along the border, a quarter in a
/// corner.
struct Cells {
  std::vector<PlanePoint> at;
  std::vector<double> weight;
};

Cells cells_of(const PlaneMap& map) {
  const auto side = [](std::size_t at, std::size_t count) {
    return at == 0 || at + 1 == count ? 0.5 : 1.0;
  };
  Cells cells;
  for (std::size_t k = 0; k < map.nz; ++k) {
    for (std::size_t i = 0; i < map.ny; ++i) {
      cells.at.push_back({map.y_m(i), map.z_m(k)});
      cells.weight.push_back(map.step_m * map.step_m * side(i, map.ny) * side(k, map.nz));
    }
  }
  return cells;
}

Triple integrals_of(const Cells& cells, const std::vector<double>& speed) {
  Triple t{};
  for (std::size_t c = 0; c < speed.size(); ++c) {
    const double u = speed[c], w = cells.weight[c];
    t[0] += w * u;
    t[1] += w * u * u;
    t[2] += 0.5 * w * u * u * u;
  }
  return t;
}

/// Speeds in the cells; zero outside the hull of the readings, where such a method says nothing.
std::vector<double> speeds_in(const Cells& cells, Method method, const ScatteredValues& values) {
  std::vector<double> speed = interpolate(values, cells.at, method).value;
  for (double& u : speed) {
    u = std::isfinite(u) ? u : 0.0;
  }
  return speed;
}

void cut_negative(const Cells& cells, AlternativePlane& out) {
  double area = 0.0, all = 0.0;
  for (std::size_t c = 0; c < cells.weight.size(); ++c) {
    double& u = out.map.speed_m_s[c];
    all += cells.weight[c];
    if (u < 0.0) {
      area += cells.weight[c];
      out.negative_least_m_s = std::min(out.negative_least_m_s, u);
      u = 0.0;
    }
  }
  out.negative_share = area / all;
}

}  // namespace

AlternativePlane map_by(Method method, const PlaneSamples& samples, double step_m) {
  AlternativePlane out;
  out.map = empty_map(samples.window, step_m > 0.0 ? step_m : samples.window.width_m() / 100.0);
  const Cells cells = cells_of(out.map);
  out.map.speed_m_s =
      speeds_in(cells, method, values_of(samples, std::numeric_limits<double>::infinity()));
  out.map.uncertainty_m_s.assign(out.map.speed_m_s.size(), 0.0);
  cut_negative(cells, out);
  out.value = integrals_of(cells, out.map.speed_m_s);
  const std::vector<double> heights = swept_heights_m(samples);
  out.uncertainty_known = heights.size() >= 3;
  out.uncertainty = out.value;
  if (!out.uncertainty_known) {
    return out;
  }
  std::vector<Triple> left_out;
  for (const double h : heights) {
    std::vector<double> speed = speeds_in(cells, method, values_of(samples, h));
    for (double& u : speed) {
      u = std::max(u, 0.0);
    }
    left_out.push_back(integrals_of(cells, speed));
  }
  const auto n = static_cast<double>(heights.size());
  for (std::size_t i = 0; i < 3; ++i) {
    double mean = 0.0, sum = 0.0;
    for (const Triple& t : left_out) {
      mean += t[i] / n;
    }
    for (const Triple& t : left_out) {
      sum += (t[i] - mean) * (t[i] - mean);
    }
    out.uncertainty[i] = std::sqrt((n - 1.0) / n * sum);
  }
  return out;
}

}  // namespace sweepflux
