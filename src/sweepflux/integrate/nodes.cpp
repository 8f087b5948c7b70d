#include "sweepflux/integrate/nodes_private.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace sweepflux {
namespace {

constexpr int most_inside = 56;  // nodes along an axis inside the window

Array trapezoid(const Array& x) {
  Array w = Array::Zero(x.size());
  for (Eigen::Index i = 0; i + 1 < x.size(); ++i) {
    const double half = 0.5 * (x[i + 1] - x[i]);
    w[i] += half;
    w[i + 1] += half;
  }
  return w;
}

/// Even steps from low to high, then ever longer ones to `reach` beyond; none below `wall`.
Array make_axis(double low, double high, double step, double reach, double wall) {
  const int n = std::clamp(static_cast<int>(std::ceil((high - low) / step)), 8, most_inside);
  const double h = (high - low) / n;
  std::vector<double> x;
  for (int i = 0; i <= n; ++i) {
    x.push_back(low + h * i);
  }
  const auto extend = [&](double from, double sign) {
    std::vector<double> out;
    double d = h, at = from;
    while (std::abs(at - from) < reach) {
      d *= 1.3;
      at += sign * d;
      if (sign < 0 && at < wall) {
        if (from > wall + 1e-9) {
          out.push_back(wall);
        }
        break;
      }
      out.push_back(at);
    }
    return out;
  };
  std::vector<double> all = extend(low, -1.0);
  std::reverse(all.begin(), all.end());
  if (!all.empty() && all.size() > 1 && all[1] - all[0] < 1e-9) {
    all.erase(all.begin());
  }
  all.insert(all.end(), x.begin(), x.end());
  const std::vector<double> up = extend(high, 1.0);
  all.insert(all.end(), up.begin(), up.end());
  return Eigen::Map<Array>(all.data(), static_cast<Eigen::Index>(all.size()));
}

Array window_weights(const Array& x, double low, double high) {
  Array w = Array::Zero(x.size());
  for (Eigen::Index i = 0; i + 1 < x.size(); ++i) {
    if (x[i] >= low - 1e-9 && x[i + 1] <= high + 1e-9) {
      const double half = 0.5 * (x[i + 1] - x[i]);
      w[i] += half;
      w[i + 1] += half;
    }
  }
  return w;
}

/// Midpoints in angle and in the logarithm of the radius, from the window outwards.
void add_beyond(Nodes& n, const Window& window, double reach, double wall) {
  constexpr int rays = 64, steps = 40;
  const double yc = 0.5 * (window.y_min_m + window.y_max_m);
  const double zc = 0.5 * (window.z_min_m + window.z_max_m);
  const double half_y = 0.5 * window.width_m(), half_z = 0.5 * window.height_m();
  std::vector<double> y, z, w;
  for (int i = 0; i < rays; ++i) {
    const double angle = 2.0 * std::numbers::pi * (i + 0.5) / rays;
    const double c = std::cos(angle), s = std::sin(angle);
    const double edge = std::min(half_y / std::abs(c), half_z / std::abs(s));
    const double step = std::log(std::max(reach / edge, 1.0)) / steps;
    for (int k = 0; k < steps && step > 0.0; ++k) {
      const double r = edge * std::exp((k + 0.5) * step);
      if (zc + r * s > wall) {
        y.push_back(yc + r * c);
        z.push_back(zc + r * s);
        w.push_back(r * r * std::sinh(step) * 2.0 * std::numbers::pi / rays);
      }
    }
  }
  const auto count = static_cast<Eigen::Index>(y.size());
  n.beyond_y = Eigen::Map<Array>(y.data(), count);
  n.beyond_z = Eigen::Map<Array>(z.data(), count);
  n.beyond_w = Eigen::Map<Array>(w.data(), count);
}

}  // namespace

Window measured_window(const FitData::Plane& plane) {
  Window w = plane.window;
  const double margin = 0.5 * plane.row_gap_m;
  w.z_min_m = plane.heights_m.front() - margin;
  w.z_max_m = plane.heights_m.back() + margin;
  if (plane.has_floor) {
    w.z_min_m = std::max(w.z_min_m, plane.floor_m);
  }
  return w;
}

Nodes make_nodes(const PlaneField& field) {
  const Window window = measured_window(field.frame);
  const double wall = field.frame.has_floor ? field.frame.floor_m : -1e300;
  const double a = std::clamp(field.half_width_y_m, window.width_m() / 60.0, window.width_m());
  const double b = std::clamp(field.half_width_z_m,
                              window.height_m() / 60.0,
                              std::max(window.width_m(), window.height_m()));
  const double reach_y = 2.0 * window.width_m(),
               reach_z = std::max(2.0 * window.height_m(), 8.0 * b);
  Nodes n;
  n.ya = make_axis(window.y_min_m, window.y_max_m, a / 3.6, reach_y, -1e300);
  n.za = make_axis(window.z_min_m, window.z_max_m, std::min(a, b) / 3.6, reach_z, wall);
  add_beyond(n, window, 300.0 * std::max(a, b), wall);
  n.wy = trapezoid(n.ya);
  n.wz = trapezoid(n.za);
  const Array iy = window_weights(n.ya, window.y_min_m, window.y_max_m);
  const Array iz = window_weights(n.za, window.z_min_m, window.z_max_m);
  const Eigen::Index count = n.ny() * n.nz();
  n.y.resize(count);
  n.z.resize(count);
  n.w.resize(count);
  n.w_window.resize(count);
  n.inside.resize(static_cast<std::size_t>(count));
  for (Eigen::Index i = 0; i < n.ny(); ++i) {
    for (Eigen::Index k = 0; k < n.nz(); ++k) {
      const Eigen::Index at = i * n.nz() + k;
      n.y[at] = n.ya[i];
      n.z[at] = n.za[k];
      n.w[at] = n.wy[i] * n.wz[k];
      n.w_window[at] = iy[i] * iz[k];
      n.inside[static_cast<std::size_t>(at)] = iy[i] > 0.0 && iz[k] > 0.0 ? 1 : 0;
    }
  }
  return n;
}

}  // namespace sweepflux
