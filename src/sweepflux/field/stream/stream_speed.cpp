#include "sweepflux/field/stream/stream_speed_private.hpp"

#include "sweepflux/field/stream/fast_math_private.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace sweepflux {
namespace {

constexpr float smallest = 1e-12f;

/// How much published profiles of one half width differ in the outer region.
constexpr float outer_sd = 0.25f;

void add_core(const PlaneStream& s, const Core& core, bool first, const float* __restrict y,
              const float* __restrict z, std::size_t count, StreamSpeeds& out) {
  const auto f = [](double v) { return static_cast<float>(v); };
  const float cy = f(core.y), cz = f(core.z), amplitude = f(core.amplitude);
  const float ca = f(core.cosine / core.a), sa = f(core.sine / core.a);
  const float cb = f(core.cosine / core.b), sb = f(core.sine / core.b);
  const float m = f(0.5 * s.m), mk = f(0.5 * s.m * core.k), inverse_m = f(1.0 / s.m);
  const float n_over_m = f(s.n / s.m), curve = f(std::exp2(s.xi) - 1.0), tail = f(-1.0 / s.xi);
  const float dip = first ? f(s.dip) : 0.0f, sharp = f(-1.442695041 / (s.h * s.h));
  float* __restrict u = out.u.data();
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
    level[j] = fast_log2(fast_exp2(m * fast_log2(p[j] * p[j] + smallest)) +
                         fast_exp2(mk * fast_log2(q[j] * q[j] + smallest)) + 1e-30f);
  }
  for (std::size_t j = 0; j < count; ++j) {
    r[j] = fast_exp2(inverse_m * level[j]);
  }
  for (std::size_t j = 0; j < count; ++j) {
    const float g = 1.0f + curve * fast_exp2(n_over_m * level[j]);
    const float held = g > 1e-9f ? g : 1e-9f;
    const float speed = amplitude * fast_exp2(tail * fast_log2(held));
    u[j] += speed * (1.0f - dip * fast_exp2((p[j] * p[j] + q[j] * q[j]) * sharp));
  }
}

/// Harmonics of the azimuth times (r^2 / (1 + r^2))^(k / 2).
void lobe_columns(float p, float q, float sd, float* row) {
  const float f = 1.0f / std::sqrt(1.0f + p * p + q * q), x = p * f, y = q * f;
  float c = x, d = y;
  for (int k = 0; k < 4; ++k) {
    const float height = k == 3 ? 0.6f * sd : sd;
    row[2 * k] = height * c;
    row[2 * k + 1] = height * d;
    const float next = c * x - d * y;
    d = c * y + d * x;
    c = next;
  }
}

}  // namespace

void stream_speeds(const PlaneStream& s, const float* y, const float* z, std::size_t count,
                   StreamSpeeds& out) {
  out.u.assign(count, 0.0f);
  for (auto* v : {&out.p, &out.q, &out.r, &out.level}) {
    v->resize(count);
  }
  for (int i = s.cores - 1; i >= 0; --i) {  // the first last: p, q, r are its own
    add_core(s, s.core[i], i == 0, y, z, count, out);
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

void residual_row(const PlaneStream& s, float p, float q, float r, float* row) {
  p = std::clamp(p, -8.0f, 8.0f);
  q = std::clamp(q, -8.0f, 8.0f);
  r = std::min(r, 8.0f);
  // Rings of width 0.4, 0.55 apart: exp(-(r - 0.55 j)^2 / 0.32), by a geometric series.
  constexpr float ring[5] = {1.0f, 0.388558f, 0.0227942f, 2.01885e-4f, 2.69958e-7f};
  // Beyond 5 all five are below 1e-10, and the series would leave the range of float.
  const float near = std::min(r, 5.0f);
  float e = static_cast<float>(s.ring_sd) * fast_exp(-3.125f * near * near);
  const float step = fast_exp(3.4375f * near);
  for (int j = 0; j < 5; ++j) {
    row[j] = e * ring[j];
    e *= step;
  }
  lobe_columns(p, q, static_cast<float>(s.lobe_sd), row + 5);
  // Bumps of width 0.6, 0.8 apart, on a 5 x 5 lattice without its corners.
  constexpr float g1 = 0.411112f, g2 = 0.0285655f;
  const float e0 = fast_exp((p * p + q * q) * (-1.0f / 0.72f)) * static_cast<float>(s.bump_sd / 1.34);
  const float ep = fast_exp(p * (0.8f / 0.36f)), eq = fast_exp(q * (0.8f / 0.36f));
  const float ip = 1.0f / ep, iq = 1.0f / eq;
  const float along[5] = {ip * ip * g2, ip * g1, 1.0f, ep * g1, ep * ep * g2};
  const float up[5] = {e0 * iq * iq * g2, e0 * iq * g1, e0, e0 * eq * g1, e0 * eq * eq * g2};
  std::size_t o = 13;
  for (int i = 0; i < 5; ++i) {
    for (int j = 0; j < 5; ++j) {
      if ((i == 0 || i == 4) && (j == 0 || j == 4)) {
        continue;
      }
      row[o++] = along[i] * up[j];
    }
  }
  const float r4 = r * r * r * r;
  row[o] = outer_sd * r4 / (r4 + 13.0f);
}

double sideways_speed(const PlaneStream& s, double downstream, double u, double y, double z) {
  double sum = s.growth * u * y / downstream;
  for (int i = 0; i < s.cores; ++i) {
    const Core& c = s.core[i];
    const double dy = y - c.y, dz = z - c.z, r2 = dy * dy + dz * dz;
    const double area = c.a * c.b;
    // Flow of a Gaussian within r: A pi a b / ln 2 (1 - 2^(-r^2 / ab)).
    const double flow = c.amplitude * std::numbers::pi * area / std::numbers::ln2;
    const double within = r2 < 1e-6 * area ? std::numbers::ln2 / area
                                           : (1.0 - std::exp2(-r2 / area)) / r2;
    sum -= s.growth * flow * within * dy / (2.0 * std::numbers::pi * downstream);
  }
  return sum;
}

}  // namespace sweepflux
