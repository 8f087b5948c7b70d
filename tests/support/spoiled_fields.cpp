#include "tests/support/known_fields.hpp"
#include "tests/support/known_shapes_private.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>
#include <utility>

namespace sweepflux::test {
namespace {

constexpr double d0 = known_field_distance_m;
constexpr double peak = known_field_peak_m_s;

/// Momentum over density by fine quadrature of the field itself, at any x.
void set_exact_by_quadrature(KnownField& field) {
  field.exact = [speed = field.jet_speed_m_s, z0 = field.outlet_height_m](double x) {
    KnownField plain;
    plain.jet_speed_m_s = speed;
    const double reach = 1.4 * std::max(1.0, x / d0);
    return integrate_known_field(plain, x, {-reach, reach, z0 - reach, z0 + reach}, 0.1);
  };
}

KnownField named(std::string name, std::string description) {
  KnownField field;
  field.name = std::move(name);
  field.description = std::move(description);
  return field;
}

/// The jet of `base`, spreading from a point 0.4 m behind the outlet.
KnownField origin_behind(const KnownField& base) {
  KnownField field = base;
  field.name = "origin-" + base.name;
  field.description = base.description + ", spreading from 0.4 m behind the outlet";
  const auto seen_from = [](double x) { return d0 * (x + 0.4) / (d0 + 0.4); };
  field.jet_speed_m_s = [speed = base.jet_speed_m_s, seen_from](double x, double y, double z) {
    return speed(seen_from(x), y, z);
  };
  field.exact = [exact = base.exact, seen_from](double x) { return exact(seen_from(x)); };
  return field;
}

/// Loses 5 % of its momentum every 0.4 m after 1.4 m.
KnownField losing(const KnownField& base) {
  KnownField field = base;
  field.name = "losing-" + base.name;
  field.description = base.description + ", losing 5 % of its momentum every 0.4 m";
  const auto left = [](double x) { return std::pow(0.95, 0.5 * (x - 1.4) / 0.4); };
  field.jet_speed_m_s = [speed = base.jet_speed_m_s, left](double x, double y, double z) {
    return left(x) * speed(x, y, z);
  };
  field.exact = [exact = base.exact, left](double x) {
    const ExactFlux whole = exact(x);
    return ExactFlux{left(x) * whole.volume_flow_m3_s,
                     left(x) * left(x) * whole.momentum_over_density_m4_s2};
  };
  return field;
}

/// Profile of the filling wake; `late` runs from 0 at 1.4 m to 1 at 2.2 m.
double wake_profile(double late, double r) {
  return std::exp(-std::numbers::ln2 * std::pow(r / 0.22, 4.0 - 2.0 * late)) *
         (1.0 - 0.6 * (1.0 - late) * std::exp(-std::pow(r / 0.085, 2)));
}

/// A hub's wake and a flat core at 1.4 m that have gone by 2.2 m, momentum kept.
KnownField filling_wake() {
  constexpr std::size_t steps = 160;
  std::vector<double> factor;
  for (std::size_t i = 0; i <= steps; ++i) {
    double sum = 0.0;
    for (int k = 0; k < 1500; ++k) {
      const double r = (k + 0.5) * 0.001;
      sum += std::pow(wake_profile(static_cast<double>(i) / steps, r), 2) * r;
    }
    factor.push_back(i == 0 ? sum : std::sqrt(factor[0] / sum));
  }
  factor[0] = 1.0;
  KnownField field = named("filling-wake", "a hub's wake in a flat core, both gone by 2.2 m");
  field.jet_speed_m_s = [factor](double x, double y, double z) {
    const double k = d0 / x;
    const double late = std::clamp((x - 1.4) / 0.8, 0.0, 1.0);
    const double at = late * steps;
    const std::size_t i = std::min(static_cast<std::size_t>(at), steps - 1);
    const double part = at - static_cast<double>(i);
    const double scale = factor[i] * (1.0 - part) + factor[i + 1] * part;
    return peak * k * scale * wake_profile(late, k * std::hypot(y, z - 0.9));
  };
  set_exact_by_quadrature(field);
  return field;
}

/// As tall at every distance; only the width grows, and speed falls with its root.
KnownField one_way_tower() {
  KnownField field = named("one-way-tower", "a tower that grows across the stream only");
  field.tall = true;
  field.grows_in_height = false;
  field.height_low_at_1_8 = -0.5;
  field.height_high_at_1_8 = 0.5;
  field.jet_speed_m_s = [](double x, double y, double z) {
    return peak * std::sqrt(d0 / x) * slot_shape(y * d0 / x, z - 0.9);
  };
  set_exact_by_quadrature(field);
  return field;
}

KnownField turning_ellipse() {
  KnownField field = named("turning-ellipse", "an ellipse that turns by 35 degrees every 0.4 m");
  field.jet_speed_m_s = [](double x, double y, double z) {
    const double k = d0 / x;
    const double turn = (x - d0) / 0.4 * 35.0 * std::numbers::pi / 180.0;
    const double p = std::cos(turn) * y + std::sin(turn) * (z - 0.9);
    const double q = -std::sin(turn) * y + std::cos(turn) * (z - 0.9);
    // ellipse20 has a turn of its own, which is the one wanted at 1.8 m
    return peak * k * ellipse20_shape(k * p, k * q);
  };
  set_exact_by_quadrature(field);
  return field;
}

/// Their squares' cross term grows as they meet, so speed falls to keep the momentum.
KnownField merging_lobes() {
  KnownField field =
      named("merging-lobes", "two lobes 0.22 m off the axis at 1.4 m, 0.06 m at 2.2 m");
  field.jet_speed_m_s = [](double x, double y, double z) {
    const double k = d0 / x;
    const double off = 0.22 - 0.16 * std::clamp((x - 1.4) / 0.8, 0.0, 1.0);
    const double half = 0.13 / k;
    const auto lobe = [&](double centre) {
      return std::exp(-std::numbers::ln2 *
                      (std::pow((y - centre) / half, 2) + std::pow((z - 0.9) / half, 2)));
    };
    const double cross = std::exp2(-2.0 * std::pow(off / half, 2));
    return peak * k * std::sqrt(1.64 / (1.64 + 1.6 * cross)) * (lobe(off) + 0.8 * lobe(-off));
  };
  set_exact_by_quadrature(field);
  return field;
}

/// Straight to 1.8 m, then 0.12 m aside and up at 2.2 m.
KnownField kinked_axis() {
  KnownField field = named("kinked-axis", "a round jet whose axis bends after 1.8 m");
  const KnownField& gauss = known_fields().front();
  field.jet_speed_m_s = [speed = gauss.jet_speed_m_s](double x, double y, double z) {
    const double off = 0.12 * std::max(0.0, (x - 1.8) / 0.4);
    return speed(x, y - off, z - off);
  };
  field.exact = gauss.exact;
  return field;
}

/// 15 % faster about 1.8 m, as when one evening's mains voltage was higher.
KnownField stronger_middle() {
  KnownField field = named("stronger-middle", "a round jet, 15 % faster between 1.6 m and 2.0 m");
  const auto up = [](double x) { return x > 1.6 && x < 2.0 ? 1.15 : 1.0; };
  field.jet_speed_m_s = [up, speed = known_fields().front().jet_speed_m_s](
                            double x, double y, double z) { return up(x) * speed(x, y, z); };
  field.exact = [up, exact = known_fields().front().exact](double x) {
    const ExactFlux whole = exact(x);
    return ExactFlux{up(x) * whole.volume_flow_m3_s,
                     up(x) * up(x) * whole.momentum_over_density_m4_s2};
  };
  return field;
}

std::vector<KnownField> build() {
  std::vector<KnownField> all;
  for (const char* base : {"gauss", "ellipse20", "annular", "twin"}) {
    for (const KnownField& field : known_fields()) {
      if (field.name == base) {
        all.push_back(origin_behind(field));
        all.push_back(losing(field));
      }
    }
  }
  all.push_back(filling_wake());
  all.push_back(one_way_tower());
  all.push_back(turning_ellipse());
  all.push_back(merging_lobes());
  all.push_back(kinked_axis());
  all.push_back(stronger_middle());
  for (KnownField& field : all) {
    field.flow_at_1_8_m3_s = field.exact(d0).volume_flow_m3_s;
  }
  return all;
}

}  // namespace

const std::vector<KnownField>& spoiled_fields() {
  static const std::vector<KnownField> fields = build();
  return fields;
}

}  // namespace sweepflux::test
