#include "sweepflux/integrate/plane_draws.hpp"

#include "sweepflux/base/parallel.hpp"
#include "sweepflux/base/statistics.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

namespace sweepflux {
namespace {

constexpr std::size_t nodes = 65;      // a side of the whole plane
constexpr double reach = 4.4;          // of the stretched coordinate
constexpr double stretch = 0.6;        // half widths
constexpr std::size_t cells = 48;      // a side of the window
constexpr int profile_steps = 100;     // to either side of the centre
constexpr double profile_reach = 4.0;  // half widths

struct Axis {
  std::array<double, nodes> at, width;
};

const Axis& stretched_axis() {
  static const Axis axis = [] {
    Axis a{};
    const double step = 2.0 * reach / static_cast<double>(nodes - 1);
    for (std::size_t i = 0; i < nodes; ++i) {
      const double t = -reach + static_cast<double>(i) * step;
      a.at[i] = stretch * std::sinh(t);
      a.width[i] = stretch * std::cosh(t) * step;
    }
    return a;
  }();
  return axis;
}

void add_powers(Triple& sum, double weight, double speed) {
  sum[0] += weight * speed;
  sum[1] += weight * speed * speed;
  sum[2] += 0.5 * weight * speed * speed * speed;
}

/// Half the distance between the outermost places where a profile falls to half its largest value.
double half_width(const std::vector<float>& u, double step) {
  const float half = 0.5f * *std::max_element(u.begin(), u.end());
  std::size_t first = 0, last = u.size() - 1;
  while (u[first] < half) {
    ++first;
  }
  while (u[last] < half) {
    --last;
  }
  const auto crossing = [&](std::size_t in, std::size_t out) {
    return static_cast<double>((u[in] - half) / std::max(u[in] - u[out], 1e-12f));
  };
  const double low = first > 0 ? crossing(first, first - 1) : 0.0;
  const double high = last + 1 < u.size() ? crossing(last, last + 1) : 0.0;
  return 0.5 * step * (static_cast<double>(last - first) + low + high);
}

struct Scratch {
  std::vector<PlanePoint> at;
  std::vector<double> weight;
  std::vector<float> u;
};

/// Cells of a node each; of one that the floor cuts, the part above.
void lay_nodes(const StreamPosterior& posterior, std::size_t draw, std::size_t plane, Scratch& s) {
  const StreamPosterior::Extent e = posterior.extent(draw, plane);
  const Axis& axis = stretched_axis();
  const double a = e.half_width_1_m, b = e.half_width_2_m;
  const std::optional<double> floor_m = posterior.floor_m(plane);
  s.at.resize(nodes * nodes);
  s.weight.resize(nodes * nodes);
  for (std::size_t i = 0; i < nodes; ++i) {
    for (std::size_t j = 0; j < nodes; ++j) {
      const double p = a * axis.at[i], q = b * axis.at[j];
      PlanePoint& at = s.at[i * nodes + j];
      at = {e.middle.y_m + e.cosine * p - e.sine * q, e.middle.z_m + e.sine * p + e.cosine * q};
      double share = 1.0;
      if (floor_m) {
        const double high_m =
            std::abs(e.sine) * a * axis.width[i] + std::abs(e.cosine) * b * axis.width[j];
        share = std::clamp((at.z_m - *floor_m) / high_m + 0.5, 0.0, 1.0);
        at.z_m = share > 0.0 && share < 1.0 ? *floor_m + 0.5 * share * high_m : at.z_m;
      }
      s.weight[i * nodes + j] = share * a * b * axis.width[i] * axis.width[j];
    }
  }
}

void integrate_whole(const StreamPosterior& posterior,
                     std::size_t draw,
                     std::size_t plane,
                     double head_diameter_m,
                     Scratch& s,
                     PlaneDraws& out) {
  const StreamPosterior::Extent e = posterior.extent(draw, plane);
  const Axis& axis = stretched_axis();
  const double a = e.half_width_1_m, b = e.half_width_2_m;
  lay_nodes(posterior, draw, plane, s);
  s.u.resize(nodes * nodes);
  posterior.speeds(draw, plane, s.at, s.u);
  Triple whole{};
  PlanePoint centre;
  double peak = 0.0, gradient_2 = 0.0, speed_gradient_2 = 0.0;
  const auto speed = [&](std::size_t k) { return static_cast<double>(s.u[k]); };
  for (std::size_t i = 0; i < nodes; ++i) {
    for (std::size_t j = 0; j < nodes; ++j) {
      const std::size_t k = i * nodes + j;
      const double w = s.weight[k], v = speed(k);
      add_powers(whole, w, v);
      centre.y_m += w * v * v * s.at[k].y_m;
      centre.z_m += w * v * v * s.at[k].z_m;
      peak = std::max(peak, v);
      if (i + 1 < nodes && j + 1 < nodes) {
        const double dp = a * (axis.at[i + 1] - axis.at[i]), dq = b * (axis.at[j + 1] - axis.at[j]);
        const double u00 = v, u10 = speed(k + nodes), u01 = speed(k + 1),
                     u11 = speed(k + nodes + 1);
        const double gp = 0.5 * (std::pow(u10 - u00, 2) + std::pow(u11 - u01, 2)) / (dp * dp);
        const double gq = 0.5 * (std::pow(u01 - u00, 2) + std::pow(u11 - u10, 2)) / (dq * dq);
        gradient_2 += dp * dq * (gp + gq);
        speed_gradient_2 += dp * dq * 0.25 * (u00 + u10 + u01 + u11) * (gp + gq);
      }
    }
  }
  const double d2 = head_diameter_m * head_diameter_m;
  out.whole[draw] = whole;
  out.head[draw] = {0.0, d2 / 16.0 * gradient_2, 3.0 * d2 / 32.0 * speed_gradient_2};
  out.peak_speed_m_s[draw] = peak;
  const double momentum = std::max(whole[1], 1e-300);
  out.centre[draw] = {centre.y_m / momentum, centre.z_m / momentum};
}

void measure_widths(const StreamPosterior& posterior,
                    std::size_t draw,
                    std::size_t plane,
                    Scratch& s,
                    PlaneDraws& out) {
  const StreamPosterior::Extent e = posterior.extent(draw, plane);
  const double far = profile_reach * std::max(e.half_width_1_m, e.half_width_2_m);
  const double step = far / profile_steps;
  const PlanePoint c = out.centre[draw];
  s.at.resize(2 * profile_steps + 1);
  s.u.resize(s.at.size());
  for (const bool across : {true, false}) {
    for (int i = -profile_steps; i <= profile_steps; ++i) {
      const double off = step * i;
      s.at[static_cast<std::size_t>(i + profile_steps)] =
          across ? PlanePoint{c.y_m + off, c.z_m} : PlanePoint{c.y_m, c.z_m + off};
    }
    posterior.speeds(draw, plane, s.at, s.u);
    (across ? out.half_width_y_m : out.half_width_z_m)[draw] = half_width(s.u, step);
  }
}

}  // namespace

double momentum_share_inside(const PlaneDraws& draws) {
  std::vector<double> share;
  for (std::size_t d = 0; d < draws.inside.size(); ++d) {
    share.push_back(draws.inside[d][1] / std::max(draws.whole[d][1], 1e-300));
  }
  return share.empty() ? 1.0 : median(std::move(share));
}

PlaneDraws integrate_draws(const StreamPosterior& posterior,
                           std::size_t plane,
                           const Window& window,
                           const Probe& probe,
                           int threads) {
  PlaneDraws out;
  const std::size_t count = posterior.draws();
  out.whole.resize(count);
  out.head.resize(count);
  out.peak_speed_m_s.resize(count);
  out.centre.resize(count);
  out.half_width_y_m.resize(count);
  out.half_width_z_m.resize(count);
  const double area = window.width_m() * window.height_m();
  std::vector<PlanePoint> within;
  if (area > 0.0) {
    out.inside.resize(count);
    out.seen.resize(count);
    for (std::size_t i = 0; i < cells; ++i) {
      for (std::size_t k = 0; k < cells; ++k) {
        const double n = cells;
        within.push_back({window.y_min_m + window.width_m() * (static_cast<double>(i) + 0.5) / n,
                          window.z_min_m + window.height_m() * (static_cast<double>(k) + 0.5) / n});
      }
    }
  }
  constexpr std::size_t batch = 16;
  parallel_for((count + batch - 1) / batch, threads, [&](std::size_t part) {
    Scratch s;
    for (std::size_t d = part * batch; d < std::min(count, (part + 1) * batch); ++d) {
      integrate_whole(posterior, d, plane, probe.head_diameter_m, s, out);
      measure_widths(posterior, d, plane, s, out);
      if (!within.empty()) {
        s.u.resize(within.size());
        posterior.speeds(d, plane, within, s.u);
        const double cell = area / static_cast<double>(within.size());
        for (const float single : s.u) {
          const auto u = static_cast<double>(single);
          add_powers(out.inside[d], cell, u);
          if (u >= probe.starting_speed_m_s) {
            add_powers(out.seen[d], cell, u);
          }
        }
      }
    }
  });
  return out;
}

}  // namespace sweepflux
