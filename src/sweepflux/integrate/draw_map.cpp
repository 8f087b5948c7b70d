#include "sweepflux/base/error.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/integrate/draw_map_private.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

constexpr double most_cells = 4e6;

/// One axis of cubic convolution: four nodes and their weights for each place.
struct Stencil {
  std::vector<Eigen::Index> first;
  std::vector<std::array<double, 4>> weight;
};

/// @param axis  even between `begin` and `end` (indices); places lie inside
Stencil make_stencil(const Array& axis, Eigen::Index begin, Eigen::Index end, const Array& at) {
  Stencil s;
  const double h = axis[begin + 1] - axis[begin];
  for (Eigen::Index i = 0; i < at.size(); ++i) {
    const double u = (at[i] - axis[begin]) / h;
    const auto cell =
        std::clamp(static_cast<Eigen::Index>(std::floor(u)), Eigen::Index{0}, end - begin - 2);
    const double t = u - static_cast<double>(cell);
    const double t2 = t * t, t3 = t2 * t;
    std::array<double, 4> w = {-0.5 * t3 + t2 - 0.5 * t,
                               1.5 * t3 - 2.5 * t2 + 1.0,
                               -1.5 * t3 + 2.0 * t2 + 0.5 * t,
                               0.5 * t3 - 0.5 * t2};
    // Beyond the ends a value goes on as a straight line: f(-1) = 2 f(0) - f(1).
    if (cell == 0) {
      w[1] += 2.0 * w[0];
      w[2] -= w[0];
      w[0] = 0.0;
    }
    if (cell == end - begin - 2) {
      w[2] += 2.0 * w[3];
      w[1] -= w[3];
      w[3] = 0.0;
    }
    s.first.push_back(begin + cell - 1);
    s.weight.push_back(w);
  }
  return s;
}

/// Nodes of an axis inside the window, as a half-open range.
std::pair<Eigen::Index, Eigen::Index> inside_range(const Array& axis, double low, double high) {
  Eigen::Index begin = 0, end = axis.size();
  while (axis[begin] < low - 1e-9) {
    ++begin;
  }
  while (axis[end - 1] > high + 1e-9) {
    --end;
  }
  return {begin, end};
}

Array convolve(const Array& values, Eigen::Index nz, const Stencil& sy, const Stencil& sz) {
  const std::size_t ny_out = sy.first.size(), nz_out = sz.first.size();
  Array out(static_cast<Eigen::Index>(ny_out * nz_out));
  for (std::size_t k = 0; k < nz_out; ++k) {
    for (std::size_t i = 0; i < ny_out; ++i) {
      double sum = 0.0;
      for (Eigen::Index a = 0; a < 4; ++a) {
        const double wa = sy.weight[i][static_cast<std::size_t>(a)];
        if (wa == 0.0) {
          continue;
        }
        for (Eigen::Index b = 0; b < 4; ++b) {
          const double wb = sz.weight[k][static_cast<std::size_t>(b)];
          if (wb != 0.0) {
            sum += wa * wb * values[(sy.first[i] + a) * nz + sz.first[k] + b];
          }
        }
      }
      out[static_cast<Eigen::Index>(k * ny_out + i)] = sum;
    }
  }
  return out;
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

PlaneMap draw_map(const PlaneField& field,
                  const Nodes& nodes,
                  const PlaneFlux& flux,
                  const PlaneSamples& samples,
                  double step_m) {
  const Window window = measured_window(field.frame);
  const double a = field.half_width_y_m, b = field.half_width_z_m;
  if (step_m <= 0.0) {
    step_m = std::clamp(std::min(a, b) / 8.0, window.width_m() / 400.0, window.width_m() / 60.0);
  }
  PlaneMap map = empty_map(window, step_m);
  Array gy(static_cast<Eigen::Index>(map.ny)), gz(static_cast<Eigen::Index>(map.nz));
  for (Eigen::Index i = 0; i < gy.size(); ++i) {
    gy[i] = map.y_m(static_cast<std::size_t>(i));
  }
  for (Eigen::Index k = 0; k < gz.size(); ++k) {
    gz[k] = map.z_m(static_cast<std::size_t>(k));
  }
  const Eigen::Index count = gy.size() * gz.size();
  Array y(count), z(count);
  for (Eigen::Index k = 0; k < gz.size(); ++k) {
    y.segment(k * gy.size(), gy.size()) = gy;
    z.segment(k * gy.size(), gy.size()).setConstant(gz[k]);
  }
  const auto [yb, ye] = inside_range(nodes.ya, window.y_min_m, window.y_max_m);
  const auto [zb, ze] = inside_range(nodes.za, window.z_min_m, window.z_max_m);
  const Stencil sy = make_stencil(nodes.ya, yb, ye, gy), sz = make_stencil(nodes.za, zb, ze, gz);
  Array mean = Array::Zero(count);
  double weight = 0.0;
  for (std::size_t k = 0; k < field.parts.size(); ++k) {
    const WeightedPart& part = field.parts[k];
    if (flux.parts[k].mean.size() == 0) {
      continue;
    }
    const Array added = flux.parts[k].mean - part.part->shape(part.plane, nodes.y, nodes.z);
    const Array value = part.part->shape(part.plane, y, z) + convolve(added, nodes.nz(), sy, sz);
    mean += part.weight * value.max(0.0);
    weight += part.weight;
  }
  mean /= weight;
  const Array sd = convolve(flux.sd, nodes.nz(), sy, sz).max(0.0);
  map.speed_m_s.assign(mean.data(), mean.data() + count);
  map.uncertainty_m_s.assign(sd.data(), sd.data() + count);
  map.support = support_of(map, samples, a, b);
  return map;
}

}  // namespace sweepflux
