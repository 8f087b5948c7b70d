#include "tests/support/dice.hpp"
#include "tests/support/known_shapes_private.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

namespace sweepflux::test {
namespace {

constexpr double log_of_2 = std::numbers::ln2;

/// Gaussian that falls to a half at `half`; `r2` is the squared distance.
double bell(double r2, double half) { return std::exp(-log_of_2 * r2 / (half * half)); }

double bell_at(double y, double z, double yc, double zc, double half) {
  return bell((y - yc) * (y - yc) + (z - zc) * (z - zc), half);
}

/// Elliptic Gaussian with its first axis turned by `turn` [rad].
double oval(double y, double z, double half_1, double half_2, double turn) {
  const double p = std::cos(turn) * y + std::sin(turn) * z;
  const double q = -std::sin(turn) * y + std::cos(turn) * z;
  return std::exp(-log_of_2 * (p * p / (half_1 * half_1) + q * q / (half_2 * half_2)));
}

/// 1 between low and high, 0 outside, with edges of the given softness.
double bar(double t, double low, double high, double soft) {
  return 0.5 * (std::erf((t - low) / soft) - std::erf((t - high) / soft));
}

double either(double a, double b) { return 1.0 - (1.0 - a) * (1.0 - b); }

/// Peak of a shape: coarse grid, then ever finer ones about the best point.
double peak_of(const Shape& shape) {
  double y = 0.0;
  double z = 0.0;
  double best = shape(y, z);
  double step = 0.02;
  int reach = 35;
  for (int pass = 0; pass < 12; ++pass, step /= 4, reach = 5) {
    const double yc = y;
    const double zc = z;
    for (int i = -reach; i <= reach; ++i) {
      for (int j = -reach; j <= reach; ++j) {
        const double v = shape(yc + i * step, zc + j * step);
        if (v > best) {
          best = v;
          y = yc + i * step;
          z = zc + j * step;
        }
      }
    }
  }
  return best;
}

Shape with_peak_one(Shape shape) {
  const double top = peak_of(shape);
  return [shape = std::move(shape), top](double y, double z) { return shape(y, z) / top; };
}

double three_blobs(double y, double z) {
  const double ring = std::exp(-std::pow((y * y + z * z - 0.17 * 0.17) / 0.026, 2));
  return bell_at(y, z, 0.03, 0.18, 0.085) + 0.8 * bell_at(y, z, -0.16, -0.06, 0.105) +
         0.9 * bell_at(y, z, 0.14, -0.11, 0.09) + 0.2 * ring;
}

double crescent(double y, double z) {
  return bell(y * y + z * z, 0.22) * (1.0 - 0.92 * bell_at(y, z, 0.14, 0.05, 0.15));
}

double corner(double y, double z) {
  const double upright = bar(y, -0.2, -0.05, 0.07) * bar(z, -0.24, 0.26, 0.08);
  const double lying = bar(z, -0.24, -0.08, 0.07) * bar(y, -0.2, 0.24, 0.08);
  return either(upright, lying);
}

/// An ellipse wound up by swirl, with a longer tail on one side.
double sheared(double y, double z) {
  const double turn = 0.3 + 2.4 * (y * y + z * z) / (y * y + z * z + 0.06);
  const double p = std::cos(turn) * y + std::sin(turn) * z;
  const double q = -std::sin(turn) * y + std::cos(turn) * z;
  const double half_p = 0.24 * (1.0 + 0.35 * std::tanh(p / 0.1));
  const double half_q = 0.12 * (1.0 - 0.25 * std::tanh(q / 0.08));
  return std::exp(-log_of_2 * (std::pow(p / half_p, 2) + std::pow(q / half_q, 2)));
}

/// Cut off by the slow layer along a wall at the right, spilling over at the bottom left.
double wall_tail(double y, double z) {
  const double free =
      bell_at(y, z, 0.06, 0.05, 0.17) + 0.28 * oval(y + 0.12, z + 0.2, 0.26, 0.11, 0.25);
  return free * 0.5 * std::erfc((y - 0.17) / 0.05);
}

double star5(double y, double z) {
  const double r2 = y * y + z * z;
  const double e = r2 / (0.17 * 0.17);
  // The amplitude goes as r^5 at the axis, so that the fifth harmonic is smooth there.
  const double lobes = 0.5 * std::pow(e / (1.0 + e), 2.5) * std::cos(5 * std::atan2(z, y) - 0.6);
  return bell(r2 * (1.0 - lobes), 0.19);
}

double open_ring(double y, double z) {
  const double r2 = y * y + z * z;
  const double ring = std::exp(-std::pow((r2 - 0.19 * 0.19) / 0.03, 2));
  const double towards = (std::cos(3.6) * y + std::sin(3.6) * z) / std::sqrt(r2 + 0.07 * 0.07);
  return ring * (1.0 - 0.9 * 0.5 * std::erfc((0.62 - towards) / 0.2));
}

double crossed(double y, double z) {
  return oval(y - 0.03, z, 0.27, 0.085, 1.0) + 0.7 * oval(y + 0.02, z - 0.05, 0.22, 0.1, -0.45);
}

/// A plateau with round corners whose speed climbs to one side.
double ramp(double y, double z) {
  const double plateau = bar(y, -0.22, 0.22, 0.09) * bar(z, -0.2, 0.2, 0.09);
  return plateau * (0.55 + 0.45 * std::tanh(2.6 * y + 1.7 * z));
}

/// A tower, thin in the middle, that leans.
double waist(double y, double z) {
  const double half = 0.08 + 0.09 * z * z / (0.04 + z * z);
  const double side = y - 0.12 * z;
  return std::exp(-log_of_2 * side * side / (half * half)) * bar(z, -0.36, 0.38, 0.08) *
         (1.0 - 0.35 * std::exp(-std::pow(z / 0.15, 2)));
}

}  // namespace

double gauss_shape(double y, double z) { return bell(y * y + z * z, round_half_width_m); }

double schlichting_shape(double y, double z) {
  const double a = (std::numbers::sqrt2 - 1.0) / (round_half_width_m * round_half_width_m);
  return std::pow(1.0 + a * (y * y + z * z), -2);
}

double ellipse20_shape(double y, double z) {
  return oval(y, z, 0.26, 0.13, 20.0 * std::numbers::pi / 180.0);
}

Shape annular_shape() {
  return with_peak_one([](double y, double z) {
    const double r2 = y * y + z * z;
    return std::exp(-log_of_2 * std::pow(r2 / (0.24 * 0.24), 2)) *
           (1.0 - 0.44 * std::exp(-r2 / (0.085 * 0.085)));
  });
}

double slot_shape(double y, double z) { return bell(y * y, 0.12) * bar(z, -0.4, 0.4, 0.07); }

double offset_shape(double y, double z) { return bell_at(y, z, 0.15, 0.2, round_half_width_m); }

double twin_shape(double y, double z) {
  return bell_at(y, z, 0.2, 0.03, 0.13) + 0.8 * bell_at(y, z, -0.2, -0.03, 0.13);
}

double lobes3_shape(double y, double z) {
  const double r2 = y * y + z * z;
  const double e = r2 / (round_half_width_m * round_half_width_m);
  return bell(r2, round_half_width_m) *
         (1.0 + 0.3 * std::pow(e / (1.0 + e), 1.5) * std::cos(3 * std::atan2(z, y) + 0.4));
}

std::vector<IrregularShape> irregular_shapes() {
  std::vector<IrregularShape> all{
      {"three-blobs", "a ring broken into three unequal blobs", three_blobs},
      {"crescent", "a broad jet with a bite taken out", crescent},
      {"corner", "the shape of an L with soft edges", corner},
      {"sheared", "an ellipse wound up by swirl, tails longer on one side", sheared},
      {"wall-tail", "a jet along a wall, with a tail spilling to the other side", wall_tail},
      {"star5", "five lobes about a round core", star5},
      {"open-ring", "a ring with one sector missing", open_ring},
      {"crossed", "two unequal ellipses across each other", crossed},
      {"ramp", "a plateau that climbs to one side", ramp},
      {"waist", "a leaning tower with a waist", waist, true},
  };
  for (IrregularShape& one : all) {
    one.shape = with_peak_one(std::move(one.shape));
  }
  return all;
}

std::vector<IrregularShape> drawn_shapes(int count) {
  // Sums of turned ellipses, each flat or pointed in its own way, with a bite taken out of all.
  struct Patch {
    double y, z, half_1, half_2, turn, strength, flatness;
  };
  Dice dice(20261202);
  const auto drawn = [&dice] {
    const double from_axis = 0.18 * std::sqrt(dice.uniform());
    const double towards = dice.uniform(0.0, 2 * std::numbers::pi);
    Patch p;
    p.y = from_axis * std::cos(towards);
    p.z = from_axis * std::sin(towards);
    p.half_1 = 0.09 * std::pow(2.5, dice.uniform());  // no jet is sharper here
    p.half_2 = 0.09 * std::pow(2.5, dice.uniform());
    p.turn = dice.uniform(0.0, std::numbers::pi);
    p.strength = dice.uniform(0.35, 1.0);
    p.flatness = dice.uniform(0.8, 1.6);
    return p;
  };
  const auto at = [](const Patch& p, double y, double z) {
    const double q = -std::log(oval(y - p.y, z - p.z, p.half_1, p.half_2, p.turn)) / log_of_2;
    return p.strength * std::exp(-log_of_2 * std::pow(q, p.flatness));
  };
  std::vector<IrregularShape> all;
  for (int i = 1; i <= count; ++i) {
    std::vector<Patch> patches(1 + static_cast<std::size_t>(dice.uniform(0.0, 4.0)));
    std::generate(patches.begin(), patches.end(), drawn);
    const Patch bite = drawn();
    const Shape sum = [=](double y, double z) {
      double speed = 0.0;
      for (const Patch& p : patches) {
        speed += at(p, y, z);
      }
      return speed * (1.0 - 0.6 * at(bite, y, z));
    };
    all.push_back({"drawn-" + std::to_string(i),
                   std::to_string(patches.size()) + " patches and a bite, drawn",
                   with_peak_one(sum)});
  }
  return all;
}

}  // namespace sweepflux::test
