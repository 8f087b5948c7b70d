#include "sweepflux/field/general/interpolants.hpp"
#include "sweepflux/judge/alternative_private.hpp"

#include <algorithm>
#include <cmath>

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

std::vector<PlanePoint> window_places(const Nodes& nodes) {
  std::vector<PlanePoint> at;
  for (Eigen::Index i = 0; i < nodes.y.size(); ++i) {
    if (nodes.w_window[i] > 0.0) {
      at.push_back({nodes.y[i], nodes.z[i]});
    }
  }
  return at;
}

struct Totals {
  Triple value{};
  std::vector<double> speed;
  double negative_area = 0.0;
  double least = 0.0;
};

Totals integrate(Method method,
                 const ScatteredValues& values,
                 const Nodes& nodes,
                 const std::vector<PlanePoint>& at) {
  Totals t;
  t.speed = interpolate(values, at, method).value;
  std::size_t k = 0;
  for (Eigen::Index i = 0; i < nodes.y.size(); ++i) {
    const double w = nodes.w_window[i];
    if (w <= 0.0) {
      continue;
    }
    double& u = t.speed[k++];
    if (!std::isfinite(u)) {
      u = 0.0;  // outside the hull of the readings: this method says nothing there
    }
    if (u < 0.0) {
      t.negative_area += w;
      t.least = std::min(t.least, u);
      u = 0.0;
    }
    t.value[0] += w * u;
    t.value[1] += w * u * u;
    t.value[2] += 0.5 * w * u * u * u;
  }
  return t;
}

}  // namespace

std::vector<double> speeds_by(Method method,
                              const PlaneSamples& samples,
                              const std::vector<PlanePoint>& at) {
  return interpolate(values_of(samples, -1e300), at, method).value;
}

AlternativeField map_by(Method method, const PlaneSamples& samples) {
  AlternativeField out;
  out.frame.frame = gather({&samples}).planes.front();
  out.frame.rows_m = out.frame.frame.heights_m;
  // Only scales for the nodes: no shape is fitted.
  out.frame.half_width_y_m = samples.window.width_m() / 8.0;
  out.frame.half_width_z_m = out.frame.half_width_y_m;
  out.nodes = make_nodes(out.frame);
  const std::vector<PlanePoint> at = window_places(out.nodes);
  const Totals all = integrate(method, values_of(samples, -1e300), out.nodes, at);
  PlaneFlux& f = out.flux;
  f.value = all.value;
  f.mean = Array::Zero(out.nodes.y.size());
  std::size_t k = 0;
  for (Eigen::Index i = 0; i < out.nodes.y.size(); ++i) {
    if (out.nodes.w_window[i] > 0.0) {
      f.mean[i] = all.speed[k++];
    }
  }
  f.window_area_m2 = out.nodes.w_window.sum();
  f.stream_area_m2 = (f.mean > 0.05 * f.mean.maxCoeff()).select(out.nodes.w_window, 0.0).sum();
  out.negative_share = all.negative_area / f.window_area_m2;
  out.negative_least_m_s = all.least;
  const std::vector<double>& rows = out.frame.rows_m;

  if (rows.size() >= 3) {
    std::vector<Triple> left_out;
    for (const double h : rows) {
      left_out.push_back(integrate(method, values_of(samples, h), out.nodes, at).value);
    }
    const auto n = static_cast<double>(rows.size());
    for (std::size_t i = 0; i < 3; ++i) {
      double mean = 0.0, sum = 0.0;
      for (const Triple& t : left_out) {
        mean += t[i] / n;
      }
      for (const Triple& t : left_out) {
        sum += (t[i] - mean) * (t[i] - mean);
      }
      f.within[i] = std::sqrt((n - 1.0) / n * sum);
    }
    out.doubt_known = true;
  } else {
    for (std::size_t i = 0; i < 3; ++i) {
      f.within[i] = f.value[i];  // as large as the value: nothing is known of it
    }
    out.doubt_known = false;
  }
  f.total = f.within;
  return out;
}

}  // namespace sweepflux
