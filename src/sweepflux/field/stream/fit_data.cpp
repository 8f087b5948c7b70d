#include "sweepflux/field/stream/mean_model_private.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

constexpr double at_rest = 0.003;  // [m/s]: a room not read, taken to be at rest

}  // namespace

double median_gap(std::vector<double> heights_m) {
  std::sort(heights_m.begin(), heights_m.end());
  std::vector<double> gaps;
  for (std::size_t k = 1; k < heights_m.size(); ++k) {
    if (heights_m[k] - heights_m[k - 1] > 1e-6) {
      gaps.push_back(heights_m[k] - heights_m[k - 1]);
    }
  }
  std::sort(gaps.begin(), gaps.end());
  return gaps.empty() ? 0.0 : gaps[gaps.size() / 2];
}

FitData gather(const std::vector<const PlaneSamples*>& planes) {
  FitData d;
  std::size_t count = 0;
  for (const PlaneSamples* p : planes) {
    count += p->samples.size();
  }
  const auto n = static_cast<Eigen::Index>(count);
  d.y.resize(n);
  d.z.resize(n);
  d.v.resize(n);
  d.sd.resize(n);
  Eigen::Index i = 0;
  for (const PlaneSamples* p : planes) {
    FitData::Plane plane;
    plane.downstream_m = p->downstream_m;
    plane.window = p->window;
    plane.outlet = p->outlet_centre;
    plane.outlet_half_y_m = p->outlet_half_y_m;
    plane.outlet_half_z_m = p->outlet_half_z_m;
    plane.has_floor = p->floor_m.has_value();
    plane.floor_m = p->floor_m.value_or(0.0);
    plane.begin = i;
    for (const PlacedSweep& s : p->sweeps) {
      plane.heights_m.push_back(s.height_m);
    }
    std::sort(plane.heights_m.begin(), plane.heights_m.end());
    const auto same = [](double a, double b) { return std::abs(a - b) < 1e-6; };
    plane.heights_m.erase(std::unique(plane.heights_m.begin(), plane.heights_m.end(), same),
                          plane.heights_m.end());
    plane.row_gap_m =
        plane.heights_m.size() < 2 ? 0.5 * p->window.width_m() : median_gap(plane.heights_m);
    d.sweep_gain_sd = std::max(d.sweep_gain_sd, p->sweep_gain_sd);
    d.height_sd_m = std::max(d.height_sd_m, p->common.height_m);
    d.background_sd_m_s = std::max(
        d.background_sd_m_s, p->ambient_known ? std::max(p->common.ambient_m_s, 1e-3) : at_rest);
    d.unread_drift_m_s = p->ambient_known ? 0.0 : drift_of_room_m_s;
    const auto plane_index = static_cast<int>(d.planes.size());
    for (const Sample& s : p->samples) {
      d.y[i] = s.at.y_m;
      d.z[i] = s.at.z_m;
      d.v[i] = s.speed_m_s;
      d.sd[i] = s.noise_m_s;
      d.censored.push_back(s.censored ? 1 : 0);
      d.sweep.push_back(d.sweeps + s.sweep);
      d.plane.push_back(plane_index);
      ++i;
    }
    d.sweeps += static_cast<int>(p->sweeps.size());
    plane.end = i;
    d.planes.push_back(plane);
  }
  d.smooth = d.v;
  for (Eigen::Index k = 1; k + 1 < n; ++k) {
    const auto u = static_cast<std::size_t>(k);
    if (d.sweep[u - 1] == d.sweep[u] && d.sweep[u + 1] == d.sweep[u]) {
      d.smooth[k] = (d.v[k - 1] + d.v[k] + d.v[k + 1]) / 3.0;
    }
  }
  d.peak_m_s = 1e-6;
  for (Eigen::Index k = 0; k < n; ++k) {
    if (!d.censored[static_cast<std::size_t>(k)]) {
      d.peak_m_s = std::max({d.peak_m_s, d.smooth[k], 0.95 * d.v[k]});
    }
  }
  return d;
}

FitData thinned(const FitData& data, Eigen::Index most) {
  const Eigen::Index stride = (data.size() + most - 1) / most;
  if (stride <= 1) {
    return data;
  }
  FitData out = data;
  out.censored.clear();
  out.sweep.clear();
  out.plane.clear();
  Eigen::Index kept = 0;
  for (std::size_t j = 0; j < data.planes.size(); ++j) {
    out.planes[j].begin = kept;
    for (Eigen::Index i = data.planes[j].begin; i < data.planes[j].end; ++i) {
      const auto u = static_cast<std::size_t>(i);
      if ((i + data.sweep[u]) % stride != 0) {
        continue;
      }
      out.y[kept] = data.y[i];
      out.z[kept] = data.z[i];
      out.v[kept] = data.v[i];
      out.smooth[kept] = data.smooth[i];
      out.sd[kept] = data.sd[i] / std::sqrt(static_cast<double>(stride));
      out.censored.push_back(data.censored[u]);
      out.sweep.push_back(data.sweep[u]);
      out.plane.push_back(data.plane[u]);
      ++kept;
    }
    out.planes[j].end = kept;
  }
  for (Array* a : {&out.y, &out.z, &out.v, &out.smooth, &out.sd}) {
    a->conservativeResize(kept);
  }
  return out;
}

}  // namespace sweepflux
