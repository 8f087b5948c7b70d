#include "tests/bench/support/stream_population.hpp"

#include "sweepflux/base/error.hpp"
#include "tests/support/dice.hpp"

#include <array>
#include <cmath>
#include <numbers>
#include <utility>

namespace sweepflux::bench {
namespace {

constexpr double outlet_height_m = 0.9;

class Core : public Stream {
 public:
  explicit Core(const Numbers& n)
      : peak_m_s_(std::exp(n[0])),
        y_m_(n[1]),
        z_m_(n[2]),
        a_m_(std::exp(n[3])),
        b_m_(std::exp(n[3] + n[4])),
        cos_(std::cos(n[5])),
        sin_(std::sin(n[5])),
        power_p_(2.0 * std::exp(n[6])),
        power_r_(2.0 * std::exp(n[7])),
        tail_(std::exp(n[8])),
        steepness_(2.0 * std::exp(n[9])),
        stretch_(std::exp2(tail_) - 1.0),
        dip_(1.0 / (1.0 + std::exp(-n[10]))),
        hub_(std::exp(n[11])) {}

  [[nodiscard]] double speed_m_s(double y_m, double z_m) const override {
    const double y = y_m - y_m_;
    const double z = z_m - z_m_;
    return at(std::abs(cos_ * y + sin_ * z) / a_m_, std::abs(cos_ * z - sin_ * y) / b_m_);
  }

  [[nodiscard]] test::ExactFlux exact() const override {
    // One quarter in half widths, by the trapezoid rule in s with p = sinh(s): fine at the hub, far
    // out into the tail. Within 3e-4 of closed forms and of steps eight times as fine.
    constexpr int steps = 48;
    constexpr double reach = 5.2;  // sinh: 91 half widths
    constexpr double step = reach / steps;
    test::ExactFlux sum;
    for (int i = 0; i <= steps; ++i) {
      for (int k = 0; k <= steps; ++k) {
        const double s = step * i;
        const double t = step * k;
        const double ends = (i == 0 ? 0.5 : 1.0) * (k == 0 ? 0.5 : 1.0);
        const double weight = ends * step * step * std::cosh(s) * std::cosh(t);
        const double u = at(std::sinh(s), std::sinh(t));
        sum.volume_flow_m3_s += weight * u;
        sum.momentum_over_density_m4_s2 += weight * u * u;
      }
    }
    const double area = 4.0 * a_m_ * b_m_;
    return {area * sum.volume_flow_m3_s, area * sum.momentum_over_density_m4_s2};
  }

 private:
  /// Half of the peak where the inner sum is 1, as long as the hub leaves that place alone.
  [[nodiscard]] double at(double p, double r) const {
    const double sum = std::pow(p, power_p_) + std::pow(r, power_r_);
    const double fall = std::pow(1.0 + stretch_ * std::pow(sum, 0.5 * steepness_), -1.0 / tail_);
    return peak_m_s_ * fall * (1.0 - dip_ * std::exp(-(p * p + r * r) / (hub_ * hub_)));
  }

  double peak_m_s_, y_m_, z_m_, a_m_, b_m_, cos_, sin_, power_p_, power_r_, tail_, steepness_;
  double stretch_, dip_, hub_;
};

StreamPopulation cores() {
  // Logarithm of the peak, place, logarithms of the half width across and of the half height over
  // it, turn, logarithms of both powers over 2, of the tail, of the steepness over 2, log odds of
  // the hub's dip, logarithm of the hub's size.
  StreamPopulation all;
  all.mean = {std::log(3.0),
              0.0,
              outlet_height_m,
              std::log(0.18),
              0.0,
              0.0,
              0.0,
              0.0,
              std::log(0.15),
              0.0,
              -1.5,
              std::log(0.35)};
  all.sd = {0.2, 0.06, 0.06, 0.25, 0.35, 0.4, 0.2, 0.3, 0.4, 0.25, 1.0, 0.3};
  all.make = [](const Numbers& n) { return std::make_unique<Core>(n); };
  return all;
}

/// exp(-(x' A x) / 2) about its place, with A the inverse of its spread [m2].
struct Patch {
  double strength_m_s, y_m, z_m;
  double spread_yy, spread_yz, spread_zz;
  double a_yy, a_yz, a_zz;

  [[nodiscard]] double determinant() const { return spread_yy * spread_zz - spread_yz * spread_yz; }
};

constexpr std::size_t patch_count = 3;
constexpr std::size_t patch_numbers = 6;

class Patches : public Stream {
 public:
  explicit Patches(const Numbers& n) {
    for (std::size_t k = 0; k < patch_count; ++k) {
      const double* one = &n[k * patch_numbers];
      Patch& p = patches_[k];
      p.strength_m_s = std::exp(one[0]);
      p.y_m = one[1];
      p.z_m = one[2];
      const double c = std::cos(one[5]);
      const double s = std::sin(one[5]);
      // Half of the peak at the half width h: the variance is h^2 / (2 ln 2).
      const double v1 = std::exp(2.0 * one[3]) / (2.0 * std::numbers::ln2);
      const double v2 = std::exp(2.0 * one[4]) / (2.0 * std::numbers::ln2);
      p.spread_yy = c * c * v1 + s * s * v2;
      p.spread_zz = s * s * v1 + c * c * v2;
      p.spread_yz = c * s * (v1 - v2);
      p.a_yy = p.spread_zz / p.determinant();
      p.a_zz = p.spread_yy / p.determinant();
      p.a_yz = -p.spread_yz / p.determinant();
    }
  }

  [[nodiscard]] double speed_m_s(double y_m, double z_m) const override {
    double sum = 0.0;
    for (const Patch& p : patches_) {
      const double y = y_m - p.y_m;
      const double z = z_m - p.z_m;
      sum += p.strength_m_s *
             std::exp(-0.5 * (p.a_yy * y * y + 2.0 * p.a_yz * y * z + p.a_zz * z * z));
    }
    return sum;
  }

  [[nodiscard]] test::ExactFlux exact() const override {
    constexpr double turn = 2.0 * std::numbers::pi;
    test::ExactFlux sum;
    for (const Patch& p : patches_) {
      sum.volume_flow_m3_s += p.strength_m_s * turn * std::sqrt(p.determinant());
      for (const Patch& q : patches_) {
        // The product of two normal shapes: one of the joint spread between their places.
        const double yy = p.spread_yy + q.spread_yy;
        const double yz = p.spread_yz + q.spread_yz;
        const double zz = p.spread_zz + q.spread_zz;
        const double determinant = yy * zz - yz * yz;
        const double y = p.y_m - q.y_m;
        const double z = p.z_m - q.z_m;
        const double apart = (zz * y * y - 2.0 * yz * y * z + yy * z * z) / determinant;
        sum.momentum_over_density_m4_s2 +=
            p.strength_m_s * q.strength_m_s * turn *
            std::sqrt(p.determinant() * q.determinant() / determinant) * std::exp(-0.5 * apart);
      }
    }
    return sum;
  }

 private:
  std::array<Patch, patch_count> patches_{};
};

StreamPopulation patches() {
  // Of each: logarithm of its strength, place, logarithms of its half widths, turn.
  StreamPopulation all;
  for (std::size_t k = 0; k < patch_count; ++k) {
    for (const auto& [mean, sd] : {std::pair{std::log(1.6), 0.3},
                                   {0.0, 0.1},
                                   {outlet_height_m, 0.1},
                                   {std::log(0.12), 0.33},
                                   {std::log(0.12), 0.33},
                                   {0.0, 1.5}}) {
      all.mean.push_back(mean);
      all.sd.push_back(sd);
    }
  }
  all.make = [](const Numbers& n) { return std::make_unique<Patches>(n); };
  return all;
}

}  // namespace

StreamPopulation stream_population(const std::string& name, double drift_sd_m_s) {
  if (name != "cores" && name != "patches") {
    throw InputError("no population \"" + name + "\"; there are cores, patches");
  }
  StreamPopulation all = name == "cores" ? cores() : patches();
  all.mean.push_back(0.0);
  all.sd.push_back(drift_sd_m_s);
  return all;
}

Numbers draw_stream(const StreamPopulation& population, std::uint64_t seed) {
  test::Dice dice(seed);
  Numbers numbers = population.mean;
  for (std::size_t k = 0; k < numbers.size(); ++k) {
    numbers[k] += population.sd[k] * dice.normal(1.0);
  }
  return numbers;
}

test::KnownField known_field_of(const StreamPopulation& population, const Numbers& numbers) {
  const std::shared_ptr<const Stream> stream = population.make(numbers);
  test::KnownField field;
  field.name = "drawn stream";
  field.description = "one of a population";
  field.outlet_height_m = outlet_height_m;
  field.co_flow_m_s = numbers.back();
  field.jet_speed_m_s = [stream](double /*x*/, double y, double z) {
    return stream->speed_m_s(y, z);
  };
  field.exact = [flux = stream->exact()](double /*x*/) { return flux; };
  return field;
}

}  // namespace sweepflux::bench
