#include "sweepflux/field/stream/stream_prior_private.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace sweepflux {
namespace {

constexpr double spread_of_round_jet = 0.094;  // half width over distance [Hussein 1994]
constexpr double spread_of_slot_jet = 0.10;    // of the plane jet [Pope 2000, section 5.4]
constexpr double potential_core = 6.0;         // outlet widths; handbooks state 4 to 6
/// No published jet falls more slowly than that of constant viscosity, r^-4 [Schlichting 1933]; a
/// little room about it.
constexpr double fattest_tail = 3.8;
/// d ln(flow) / d ln(distance) of a jet whose virtual origin lies a third of the way downstream.
constexpr double most_growth = 1.5;
constexpr double most_pointed = 1.5;  // n of the 3/2-power profile of the handbooks
/// xi of the profile that [Hussein 1994] measured, with n = 1.5, above a tenth of its peak.
constexpr double compact_tail = -0.16;

// Places in the vector.
enum Place : std::size_t {
  at_amplitude,
  at_y,
  at_z,
  at_size,
  at_stretch,
  at_turn,
  at_flatness,
  at_tail,
  at_dip,
  at_dip_width,
  at_roundness,
  at_ends,
  at_bumps,
  at_rings,
  at_lobes,
  at_noise,
  at_noise_share,
  at_drift,
  at_offset,
  at_further_cores,
  values_a_core = 6,
  at_planes = at_further_cores + values_a_core * (most_cores - 1),
  at_growth_across = at_planes,
  at_growth_up,
  at_momentum,
  at_flattening,
  at_own_residual,
  at_own,
  values_a_plane = 5
};

/// Of a further core.
std::size_t place_of_core(int i) {
  return at_further_cores + values_a_core * static_cast<std::size_t>(i - 1);
}

constexpr double oval_of_slot = 0.45;  // standard deviation, of a further core's axes

/// An ellipse whose half width along a sweep through its centre is `across`: what a sweep shows
/// must not be bound to what it does not show.
///
/// @param e1, e2  logarithm of the ratio of the axes, at twice the angle of the long one
void stretch(Core& c, double across, double e1, double e2) {
  const double turn = 0.5 * std::atan2(e2, e1), root = std::exp(0.5 * std::hypot(e1, e2));
  c.cosine = std::cos(turn);
  c.sine = std::sin(turn);
  const double size = across * std::hypot(c.cosine / root, c.sine * root);
  c.a = size * root;
  c.b = size / root;
}

/// The residual's frame: that of the only core, else the second moments of all.
void frame(PlaneStream& s) {
  const Core& first = s.core[0];
  s.y = first.y;
  s.z = first.z;
  s.a = first.a;
  s.b = first.b;
  s.cosine = first.cosine;
  s.sine = first.sine;
  if (s.cores == 1) {
    return;
  }
  double all = 0.0, y = 0.0, z = 0.0, yy = 0.0, zz = 0.0;
  for (int i = 0; i < s.cores; ++i) {
    const double w = s.core[i].amplitude * s.core[i].a * s.core[i].b;
    all += w;
    y += w * s.core[i].y;
    z += w * s.core[i].z;
  }
  s.y = y / all;
  s.z = z / all;
  for (int i = 0; i < s.cores; ++i) {
    const Core& c = s.core[i];
    const double w = c.amplitude * c.a * c.b / all;
    // 2 ln 2: half width squared over the second moment of a Gaussian.
    yy += w * (1.386 * (c.y - s.y) * (c.y - s.y) + c.a * c.b);
    zz += w * (1.386 * (c.z - s.z) * (c.z - s.z) + c.a * c.b);
  }
  s.a = std::sqrt(yy);
  s.b = std::sqrt(zz);
  s.cosine = 1.0;
  s.sine = 0.0;
}

double round_half_width(double diameter, double x) {
  const double core = x / (potential_core * diameter);
  return std::sqrt(std::pow(spread_of_round_jet * x, 2) +
                   0.25 * diameter * diameter / (1.0 + core * core));
}

}  // namespace

double expected_half_width_m(const Outlet& outlet, double downstream_m) {
  if (outlet.shape == OutletShape::round) {
    return round_half_width(outlet.diameter_m, downstream_m);
  }
  return std::hypot(spread_of_slot_jet * downstream_m,
                    0.5 * std::min(outlet.width_m, outlet.height_m));
}

StreamPrior::StreamPrior(const StreamScales& scales, int cores) : scales_(scales), cores_(cores) {
  slot_ = scales.shape == OutletShape::slot;
  tall_ = scales.extent_z >= scales.extent_y;
  const double x = scales.downstream[scales.reference];
  bends_.resize(dimension());
  bends_[at_amplitude] = NormalMixture{0.8, {std::log(1.05), 0.15}, {std::log(1.15), 0.5}};
  bends_[at_y] = bends_[at_z] = NormalMixture{0.7, {0.0, 0.03 * x}, {0.0, 0.10 * x}};
  if (slot_) {
    const double half = 0.5 * std::max(scales.extent_y, scales.extent_z);
    bends_[at_size] = NormalMixture{0.75, {0.0, 0.25}, {0.0, 0.55}};
    bends_[at_stretch] = NormalMixture{0.7, {std::log(half), 0.12}, {std::log(half), 0.4}};
    bends_[at_flatness] = NormalMixture{
        0.7, {std::log(2.0), 0.12}, {std::log(2.6), 0.4}, std::log(1.4), std::log(12.0)};
    bends_[at_ends] =
        NormalMixture{0.5, {std::log(4.0), 0.4}, {std::log(2.5), 0.7}, 0.0, std::log(12.0)};
  } else {
    bends_[at_size] = NormalMixture{0.7, {0.0, 0.22}, {std::log(0.85), 0.5}};
    bends_[at_flatness] = NormalMixture{
        0.5, {std::log(1.8), 0.15}, {std::log(2.4), 0.4}, std::log(1.4), std::log(12.0)};
    bends_[at_ends] = NormalMixture{0.85, {0.0, 0.03}, {0.0, 0.25}, 0.0, std::log(3.0)};
    bends_[at_roundness] = NormalMixture{
        0.85, {std::log(2.0), 0.05}, {std::log(3.5), 0.5}, std::log(1.3), std::log(14.0)};
  }
  bends_[at_tail] = NormalMixture{0.4, {0.0, 0.12}, {-0.03, 0.4}, -0.6, 0.65};
  bends_[at_dip] = NormalMixture{0.5, {0.0, 0.05}, {0.45, 0.3}, -0.4, 0.98};
  bends_[at_bumps] = NormalMixture{0.6, {std::log(0.03), 0.6}, {std::log(0.12), 0.8}};
  bends_[at_rings] = NormalMixture{0.8, {std::log(0.03), 0.6}, {std::log(0.06), 0.8}};
  bends_[at_lobes] = NormalMixture{0.6, {std::log(0.04), 0.7}, {std::log(0.20), 0.8}};
  if (scales.drift_sd > 0.0) {
    bends_[at_drift] = NormalMixture{
        drift_probability, {0.0, scales.drift_sd}, {0.0, rest_of_drift * scales.drift_sd}};
  }
  for (int i = 1; i < cores; ++i) {
    const std::size_t core = place_of_core(i);
    bends_[core] = NormalMixture{0.5, {0.4, 0.3}, {0.7, 0.3}, 0.1, 1.0};
    bends_[core + 1] = bends_[core + 2] = NormalMixture{0.5, {0.0, 0.05 * x}, {0.0, 0.12 * x}};
    bends_[core + 3] = NormalMixture{
        0.7, {std::log(0.7), 0.25}, {std::log(0.7), 0.5}, std::log(0.2), std::log(2.0)};
  }
  if (scales.downstream.size() > 1) {
    bends_[at_growth_across] = bends_[at_growth_up] = NormalMixture{0.8, {0.0, 0.05}, {0.0, 0.4}};
    bends_[at_momentum] = NormalMixture{0.8, {0.0, 0.02}, {0.0, 0.3}};
    bends_[at_flattening] = NormalMixture{0.8, {0.0, 0.05}, {0.0, 0.5}};
    bends_[at_own_residual] = NormalMixture{
        0.6, {std::log(0.25), 0.4}, {std::log(0.7), 0.4}, std::log(0.05), 0.0};
    const NormalMixture centre(0.85, {0.0, 0.006}, {0.0, 0.05}),
        width(0.85, {0.0, 0.01}, {0.0, 0.15});
    for (std::size_t own = at_own; own < dimension(); own += values_a_plane) {
      bends_[own] = NormalMixture{0.85, {0.0, 0.01}, {0.0, 0.12}};
      bends_[own + 1] = bends_[own + 2] = centre;
      bends_[own + 3] = bends_[own + 4] = width;
    }
  }
}

std::size_t StreamPrior::dimension() const {
  const std::size_t further = scales_.downstream.size() - 1;
  return further == 0 ? std::size_t{at_planes} : at_own + values_a_plane * further;
}

std::vector<double> StreamPrior::probabilities(OutletShape shape) {
  // An assumption: one outlet sends out one stream as a rule.
  return shape == OutletShape::slot ? std::vector<double>{0.85, 0.15}
                                    : std::vector<double>{0.75, 0.20, 0.05};
}

std::vector<std::size_t> StreamPrior::entries() const {
  std::vector<std::size_t> out;
  const std::size_t cores_end = place_of_core(cores_);
  for (std::size_t j = 0; j < dimension(); ++j) {
    const bool unused = (j >= cores_end && j < at_planes) ||
                        (j == at_drift && scales_.drift_sd <= 0.0) ||
                        (j == at_offset && scales_.offset_sd <= 0.0);
    if (!unused) {
      out.push_back(j);
    }
  }
  return out;
}

std::vector<std::vector<std::size_t>> StreamPrior::blocks() const {
  std::vector<std::vector<std::size_t>> out = {{at_stretch, at_turn}};
  for (int i = 1; i < cores_; ++i) {
    out.emplace_back();
    for (std::size_t j = 0; j < values_a_core; ++j) {
      out.back().push_back(place_of_core(i) + j);
    }
  }
  return out;
}

std::vector<std::size_t> StreamPrior::entries_of_core(int core) const {
  const std::size_t begin = core == 0 ? at_amplitude + 1 : place_of_core(core) + 1;
  const std::size_t end = core == 0 ? at_bumps : place_of_core(core + 1);
  std::vector<std::size_t> out(end - begin);
  std::iota(out.begin(), out.end(), begin);
  return out;
}

void StreamPrior::set_strengths(std::vector<double>& z, std::span<const double> strengths) const {
  z[at_amplitude] = bends_[at_amplitude]->inverse(std::log(strengths[0]));
  for (std::size_t i = 1; i < strengths.size(); ++i) {
    const std::size_t entry = place_of_core(static_cast<int>(i));
    z[entry] = bends_[entry]->inverse(strengths[i] / strengths[0]);
  }
}

std::vector<std::size_t> StreamPrior::spreads() const {
  std::vector<std::size_t> out = {at_bumps, at_rings, at_lobes, at_noise, at_noise_share};
  if (scales_.downstream.size() > 1) {
    out.push_back(at_own_residual);
  }
  return out;
}

bool StreamPrior::touches(std::size_t entry, std::size_t plane) const {
  if (entry < at_planes) {
    return true;
  }
  const std::size_t own = plane - (plane > scales_.reference ? 1 : 0);
  return plane != scales_.reference && (entry < at_own || (entry - at_own) / values_a_plane == own);
}

void StreamPrior::first_core(std::span<const double> t, PlaneStream& s) const {
  Core& c = s.core[0];
  c.amplitude = std::exp(t[at_amplitude]);
  c.y = t[at_y];
  c.z = t[at_z];
  s.n = std::exp(t[at_flatness]);
  s.xi = t[at_tail];
  // A top more pointed than a parabola goes with a compact foot, as the 3/2-power profile has both.
  const double least_compact = std::clamp(1.0 - s.xi / compact_tail, 0.0, 1.0);
  s.n = std::max(s.n, most_pointed + (2.0 - most_pointed) * least_compact);
  s.xi = std::min(s.xi, s.n / fattest_tail);
  if (std::abs(s.xi) < 1e-3) {
    s.xi = s.xi < 0.0 ? -1e-3 : 1e-3;
  }
  s.dip = t[at_dip];
  s.h = std::exp(std::log(0.4) + 0.35 * t[at_dip_width]);
  c.k = std::exp(t[at_ends]);
  if (slot_) {
    c.a = std::exp(t[at_size]);
    c.b = std::exp(t[at_stretch]);
    const double turn = 0.05 * t[at_turn];
    c.cosine = tall_ ? std::cos(turn) : std::sin(turn);
    c.sine = tall_ ? std::sin(turn) : -std::cos(turn);
    s.m = s.n * std::exp(0.1 * t[at_roundness]);
  } else {
    stretch(c, std::exp(t[at_size]), t[at_stretch], t[at_turn]);
    s.m = std::exp(t[at_roundness]);
  }
}

void StreamPrior::further_core(std::span<const double> t, PlaneStream& s) const {
  Core& c = s.core[s.cores++];
  c.amplitude = s.core[0].amplitude * t[0];
  c.y = t[1];
  c.z = t[2];
  stretch(c, std::exp(t[3]), t[4], t[5]);
  c.k = 1.0;
}

PlaneStream StreamPrior::carried(const PlaneStream& from,
                                 std::span<const double> t,
                                 std::size_t plane) const {
  const double x0 = scales_.downstream[scales_.reference], x = scales_.downstream[plane];
  const double farther = std::log(x / x0);
  const double* own = &t[at_own + values_a_plane * (plane - (plane > scales_.reference ? 1 : 0))];
  PlaneStream s = from;
  const double short_extent = std::min(scales_.extent_y, scales_.extent_z);
  const auto width = [&](double at) {
    return slot_ ? std::hypot(spread_of_slot_jet * at, 0.5 * short_extent)
                 : round_half_width(scales_.extent_y, at);
  };
  const double wider = width(x) / width(x0);
  // A slot's long side hardly grows; half widths a and b stand across and along it.
  const double a = wider * std::exp(t[at_growth_across] * farther + own[3]);
  const double b = (slot_ ? 1.0 : wider) * std::exp(t[at_growth_up] * farther + own[4]);
  const double speed = std::exp(0.5 * t[at_momentum] * farther + own[0]) / std::sqrt(a * b);
  s.n = std::clamp(s.n * std::exp(t[at_flattening] * farther), most_pointed, 14.0);
  s.m *= slot_ ? s.n / from.n : 1.0;
  s.xi = std::min(s.xi, s.n / fattest_tail);
  const double slide_y = x * own[1], slide_z = x * own[2];
  const bool turned = slot_ && !tall_;
  for (int i = 0; i < s.cores; ++i) {
    Core& c = s.core[i];
    const Core& first = from.core[0];
    c.amplitude *= speed;
    c.a *= a;
    c.b *= b;
    c.y = first.y * x / x0 + slide_y + (c.y - first.y) * (turned ? b : a);
    c.z = first.z * x / x0 + slide_z + (c.z - first.z) * (turned ? a : b);
  }
  return s;
}

std::vector<double> StreamPrior::straight(std::span<const double> z) const {
  std::vector<double> t(z.begin(), z.end());
  for (std::size_t j = 0; j < t.size(); ++j) {
    t[j] = bends_[j] ? bends_[j]->at(z[j]) : z[j];
  }
  const auto bend_ellipse = [&](std::size_t at) {
    const double r = std::hypot(z[at], z[at + 1]);
    const double longer = slot_ ? oval_of_slot : oval_length(r) / std::max(r, 1e-9);
    t[at] *= longer;
    t[at + 1] *= longer;
  };
  if (!slot_) {
    bend_ellipse(at_stretch);
  }
  for (int i = 1; i < cores_; ++i) {
    bend_ellipse(place_of_core(i) + 4);
  }
  return t;
}

SurveyStream StreamPrior::stream(std::span<const double> z) const {
  const std::vector<double> t = straight(z);
  SurveyStream out;
  PlaneStream s;
  first_core(t, s);
  for (int i = 1; i < cores_; ++i) {
    further_core(std::span(t).subspan(place_of_core(i)), s);
  }
  s.bump_sd = std::exp(t[at_bumps]);
  s.ring_sd = std::exp(t[at_rings]);
  s.lobe_sd = std::exp(t[at_lobes]);
  for (std::size_t p = 0; p < scales_.downstream.size(); ++p) {
    out.planes.push_back(p == scales_.reference ? s : carried(s, t, p));
    PlaneStream& plane = out.planes.back();
    frame(plane);
    // Where momentum is kept, flow grows as the half width of a round jet does and as the root of a
    // plane jet's; both widen by the same amount a metre wherever they began.
    const Core& c = plane.core[0];
    const double x = scales_.downstream[p];
    plane.growth = std::min(most_growth,
                            slot_ ? 0.5 * spread_of_slot_jet * x / c.a
                                  : spread_of_round_jet * x / std::sqrt(c.a * c.b));
  }
  out.noise_factor = std::exp(0.25 * t[at_noise]);
  out.noise_share = std::exp(std::log(0.01) + 0.7 * t[at_noise_share]);
  if (scales_.drift_sd > 0.0) {
    const double v = t[at_drift];
    out.drift = v > 0.0 ? v : 0.5 * v;
  }
  out.offset = scales_.offset_sd * t[at_offset];
  if (scales_.downstream.size() > 1) {
    out.own_residual = std::exp(t[at_own_residual]);
  }
  return out;
}

}  // namespace sweepflux
