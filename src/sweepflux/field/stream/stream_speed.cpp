#include "sweepflux/field/stream/fast_math_private.hpp"
#include "sweepflux/field/stream/stream_speed_private.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace sweepflux {
namespace {

constexpr float smallest = 1e-12f;

/// How much published profiles differ far out from the continuation of their inner part.
constexpr float outer_sd = 0.5f;

/// @param steep  d(log2 of the level) / dz; null: the derivative is not asked
void add_core(const PlaneStream& s,
              const Core& core,
              bool first,
              const float* __restrict y,
              const float* __restrict z,
              std::size_t count,
              float* __restrict steep,
              StreamSpeeds& out) {
  const auto f = [](double v) { return static_cast<float>(v); };
  const float cy = f(core.y), cz = f(core.z), amplitude = f(core.amplitude);
  const float ca = f(core.cosine / core.a), sa = f(core.sine / core.a);
  const float cb = f(core.cosine / core.b), sb = f(core.sine / core.b);
  const float m = f(0.5 * s.m), mk = f(0.5 * s.m * core.k), inverse_m = f(1.0 / s.m);
  const float n_over_m = f(s.n / s.m), curve = f(std::exp2(s.xi) - 1.0), tail = f(-1.0 / s.xi);
  const float inverse_h2 = f(1.0 / (s.h * s.h));
  float* __restrict u = out.u.data();
  float* __restrict u_z = out.u_z.data();
  float* __restrict p = out.p.data();
  float* __restrict q = out.q.data();
  float* __restrict r = out.r.data();
  float* __restrict level = out.level.data();
  for (std::size_t j = 0; j < count; ++j) {
    const float dy = y[j] - cy, dz = z[j] - cz;
    p[j] = ca * dy + sa * dz;
    q[j] = cb * dz - sb * dy;
  }
  for (std::size_t j = 0; j < count; ++j) {
    const float p2 = p[j] * p[j] + smallest, q2 = q[j] * q[j] + smallest;
    const float of_p = fast_exp2(m * fast_log2(p2)), of_q = fast_exp2(mk * fast_log2(q2));
    const float sum = of_p + of_q + 1e-30f;
    level[j] = fast_log2(sum);
    if (steep != nullptr) {
      steep[j] = 2.0f * (m * of_p * p[j] / p2 * sa + mk * of_q * q[j] / q2 * cb) / sum;
    }
  }
  if (s.cores == 1) {
    for (std::size_t j = 0; j < count; ++j) {
      r[j] = fast_exp2(inverse_m * level[j]);
    }
  }
  for (std::size_t j = 0; j < count; ++j) {
    const float rise = curve * fast_exp2(n_over_m * level[j]), g = 1.0f + rise;
    const float held = g > 1e-9f ? g : 1e-9f;
    const float speed = amplitude * fast_exp2(tail * fast_log2(held));
    level[j] = speed;
    if (steep != nullptr) {
      steep[j] *= speed * tail * n_over_m * rise / held;
    }
  }
  if (first && s.dip != 0.0) {
    const float dip = f(s.dip);
    for (std::size_t j = 0; j < count; ++j) {
      const float dent = dip * fast_exp((p[j] * p[j] + q[j] * q[j]) * -inverse_h2);
      if (steep != nullptr) {
        steep[j] = steep[j] * (1.0f - dent) +
                   level[j] * dent * 2.0f * inverse_h2 * (p[j] * sa + q[j] * cb);
      }
      level[j] *= 1.0f - dent;
    }
  }
  for (std::size_t j = 0; j < count; ++j) {
    u[j] += level[j];
    if (steep != nullptr) {
      u_z[j] += steep[j];
    }
  }
}

struct Lanes {
  float at[lanes];
};

/// Harmonics of the azimuth times (r^2 / (1 + r^2))^(k / 2).
void lobe_columns(const Lanes& p, const Lanes& q, float sd, float* out, std::size_t stride) {
  Lanes x, y, c, d;
  for (std::size_t t = 0; t < lanes; ++t) {
    const float f = 1.0f / std::sqrt(1.0f + p.at[t] * p.at[t] + q.at[t] * q.at[t]);
    c.at[t] = x.at[t] = p.at[t] * f;
    d.at[t] = y.at[t] = q.at[t] * f;
  }
  for (std::size_t k = 0; k < 4; ++k) {
    const float height = k == 3 ? 0.6f * sd : sd;
    float* __restrict first = out + 2 * k * stride;
    float* __restrict second = first + stride;
    for (std::size_t t = 0; t < lanes; ++t) {
      first[t] = height * c.at[t];
      second[t] = height * d.at[t];
      const float next = c.at[t] * x.at[t] - d.at[t] * y.at[t];
      d.at[t] = c.at[t] * y.at[t] + d.at[t] * x.at[t];
      c.at[t] = next;
    }
  }
}

/// Rings of width 0.4, 0.55 apart: exp(-(r - 0.55 j)^2 / 0.32), by a geometric series.
void ring_columns(const Lanes& r, float sd, float* out, std::size_t stride) {
  constexpr float ring[5] = {1.0f, 0.388558f, 0.0227942f, 2.01885e-4f, 2.69958e-7f};
  Lanes e, step;
  for (std::size_t t = 0; t < lanes; ++t) {
    // Beyond 5 all five are below 1e-10, and the series would leave the range of float.
    const float near = std::min(r.at[t], 5.0f);
    e.at[t] = sd * fast_exp(-3.125f * near * near);
    step.at[t] = fast_exp(3.4375f * near);
  }
  for (std::size_t j = 0; j < 5; ++j) {
    float* __restrict column = out + j * stride;
    for (std::size_t t = 0; t < lanes; ++t) {
      column[t] = e.at[t] * ring[j];
      e.at[t] *= step.at[t];
    }
  }
}

/// Bumps of width 0.6, 0.8 apart, on a 5 x 5 lattice without its corners.
void bump_columns(const Lanes& p, const Lanes& q, float sd, float* out, std::size_t stride) {
  constexpr float g1 = 0.411112f, g2 = 0.0285655f;
  Lanes along[5], up[5];
  for (std::size_t t = 0; t < lanes; ++t) {
    const float x = p.at[t], y = q.at[t];
    const float e0 = fast_exp((x * x + y * y) * (-1.0f / 0.72f)) * (sd / 1.34f);
    const float ep = fast_exp(x * (0.8f / 0.36f)), eq = fast_exp(y * (0.8f / 0.36f));
    const float ip = 1.0f / ep, iq = 1.0f / eq;
    along[0].at[t] = ip * ip * g2;
    along[1].at[t] = ip * g1;
    along[2].at[t] = 1.0f;
    along[3].at[t] = ep * g1;
    along[4].at[t] = ep * ep * g2;
    up[0].at[t] = e0 * iq * iq * g2;
    up[1].at[t] = e0 * iq * g1;
    up[2].at[t] = e0;
    up[3].at[t] = e0 * eq * g1;
    up[4].at[t] = e0 * eq * eq * g2;
  }
  for (int i = 0; i < 5; ++i) {
    for (int j = 0; j < 5; ++j) {
      if ((i == 0 || i == 4) && (j == 0 || j == 4)) {
        continue;
      }
      for (std::size_t t = 0; t < lanes; ++t) {
        out[t] = along[i].at[t] * up[j].at[t];
      }
      out += stride;
    }
  }
}

}  // namespace

void stream_speeds(const PlaneStream& s,
                   const float* y,
                   const float* z,
                   std::size_t count,
                   bool with_derivative,
                   StreamSpeeds& out) {
  out.u.assign(count, 0.0f);
  out.u_z.assign(with_derivative ? count : 0, 0.0f);
  out.steepness.resize(out.u_z.size());
  float* steep = with_derivative ? out.steepness.data() : nullptr;
  for (auto* v : {&out.p, &out.q, &out.r, &out.level}) {
    v->resize(count);
  }
  for (int i = s.cores - 1; i >= 0; --i) {  // the first last: p, q, r are its own
    add_core(s, s.core[i], i == 0, y, z, count, steep, out);
  }
  if (s.cores == 1) {
    return;
  }
  const auto ca = static_cast<float>(s.cosine / s.a), sa = static_cast<float>(s.sine / s.a);
  const auto cb = static_cast<float>(s.cosine / s.b), sb = static_cast<float>(s.sine / s.b);
  const auto cy = static_cast<float>(s.y), cz = static_cast<float>(s.z);
  for (std::size_t j = 0; j < count; ++j) {
    const float dy = y[j] - cy, dz = z[j] - cz;
    out.p[j] = ca * dy + sa * dz;
    out.q[j] = cb * dz - sb * dy;
    out.r[j] = std::sqrt(out.p[j] * out.p[j] + out.q[j] * out.q[j] + smallest);
  }
}

void residual_at(const PlaneStream& s,
                 const float* p,
                 const float* q,
                 const float* r,
                 std::size_t count,
                 float* out) {
  const std::size_t stride = in_lanes(count);
  for (std::size_t from = 0; from < count; from += lanes, out += lanes) {
    Lanes x, y, level;
    for (std::size_t t = 0; t < lanes; ++t) {
      const std::size_t i = std::min(from + t, count - 1);
      x.at[t] = std::clamp(p[i], -8.0f, 8.0f);
      y.at[t] = std::clamp(q[i], -8.0f, 8.0f);
      level.at[t] = std::min(r[i], 8.0f);
    }
    ring_columns(level, static_cast<float>(s.ring_sd), out, stride);
    lobe_columns(x, y, static_cast<float>(s.lobe_sd), out + 5 * stride, stride);
    bump_columns(x, y, static_cast<float>(s.bump_sd), out + 13 * stride, stride);
    float* __restrict outer = out + 34 * stride;
    for (std::size_t t = 0; t < lanes; ++t) {
      const float r2 = level.at[t] * level.at[t], r4 = r2 * r2;
      outer[t] = outer_sd * r4 / (r4 + 20.0f);
    }
    for (std::size_t t = count - from; t < lanes; ++t) {
      for (std::size_t j = 0; j < residual_columns; ++j) {
        out[j * stride + t] = 0.0f;
      }
    }
  }
}

double sideways_speed(const PlaneStream& s, double downstream, double u, double y, double z) {
  double sum = s.growth * u * y / downstream;
  for (int i = 0; i < s.cores; ++i) {
    const Core& c = s.core[i];
    const double dy = y - c.y, dz = z - c.z, r2 = dy * dy + dz * dz;
    const double area = c.a * c.b;
    // Flow of a Gaussian within r: A pi a b / ln 2 (1 - 2^(-r^2 / ab)).
    const double flow = c.amplitude * std::numbers::pi * area / std::numbers::ln2;
    const double within =
        r2 < 1e-6 * area ? std::numbers::ln2 / area : (1.0 - std::exp2(-r2 / area)) / r2;
    sum -= s.growth * flow * within * dy / (2.0 * std::numbers::pi * downstream);
  }
  return sum;
}

}  // namespace sweepflux
