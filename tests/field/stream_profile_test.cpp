#include "sweepflux/field/stream/fast_math_private.hpp"
#include "sweepflux/field/stream/normal_mixture.hpp"
#include "sweepflux/field/stream/stream_speed_private.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <numbers>
#include <vector>

// The family of profiles, what it is made of, and the priors' building block.

namespace sweepflux {
namespace {

PlaneStream family_member(double n, double xi) {
  PlaneStream s;
  s.n = n;
  s.xi = xi;
  return s;
}

std::vector<float> speeds_along(const PlaneStream& stream, const std::vector<float>& y) {
  const std::vector<float> z(y.size(), 0.0f);
  StreamSpeeds out;
  stream_speeds(stream, y.data(), z.data(), y.size(), false, out);
  return out.u;
}

/// Largest difference from `profile(r)` out to four half widths, of a peak of 1.
double largest_difference(const PlaneStream& stream, const std::function<double(double)>& profile) {
  std::vector<float> y;
  for (int i = 0; i <= 400; ++i) {
    y.push_back(0.01f * static_cast<float>(i));
  }
  const std::vector<float> u = speeds_along(stream, y);
  double largest = 0.0;
  for (std::size_t i = 0; i < y.size(); ++i) {
    largest = std::max(largest, std::abs(static_cast<double>(u[i]) - profile(y[i])));
  }
  return largest;
}

TEST(StreamProfile, FallsToHalfAtItsHalfWidthWhateverTheMember) {
  for (const double n : {1.5, 2.0, 6.0}) {
    for (const double xi : {-0.5, 1e-3, 0.5}) {
      PlaneStream s = family_member(n, xi);
      s.core[0].a = 0.7;
      s.core[0].y = 0.2;
      // Near the Gaussian the power -1 / xi magnifies the rounding of single precision.
      EXPECT_NEAR(speeds_along(s, {0.9f})[0], 0.5, 4e-5) << n << ' ' << xi;
      EXPECT_NEAR(speeds_along(s, {0.2f})[0], 1.0, 1e-5) << n << ' ' << xi;
    }
  }
}

TEST(StreamProfile, HoldsTheProfilesOfHandbooksExactly) {
  // (1 - (r/b)^1.5)^2 [Abramovich 1963]: half at b 0.44103.
  const auto three_halves = [](double r) {
    const double s = std::min(0.4410337 * r, 1.0);
    return std::pow(1.0 - std::pow(s, 1.5), 2);
  };
  EXPECT_LT(largest_difference(family_member(1.5, -0.5), three_halves), 1e-5);
  // (1 + (sqrt 2 - 1) r^2)^-2, of constant viscosity [Schlichting 1933].
  const auto constant_viscosity = [](double r) {
    return std::pow(1.0 + (std::numbers::sqrt2 - 1.0) * r * r, -2);
  };
  EXPECT_LT(largest_difference(family_member(2.0, 0.5), constant_viscosity), 1e-5);
}

TEST(StreamProfile, ComesNearTheGaussianAsItsTailVanishes) {
  // xi = 0 itself is a limit; to first order the difference is xi (ln 2)^2 (r^4 - r^2) / 2
  // 2^-(r^2), 1.8e-4 at most for 1e-3; single precision adds as much.
  const auto gaussian = [](double r) { return std::exp2(-r * r); };
  EXPECT_LT(largest_difference(family_member(2.0, 1e-3), gaussian), 4e-4);
}

TEST(StreamProfile, ComesNearTheMeasuredFarField) {
  // Fit of Hussein, Capp & George 1994; half at eta = 0.0944.
  const auto measured = [](double r) {
    const double t = std::pow(0.09437 * r, 2);
    return (1.0 + 12.12 * t + 2815.0 * t * t) * std::exp(-111.0 * t);
  };
  double best = 1.0;
  for (double n = 1.6; n < 2.4; n += 0.02) {
    for (double xi = -0.3; xi < 0.3; xi += 0.02) {
      best = std::min(best, largest_difference(family_member(n, xi + 1e-3), measured));
    }
  }
  EXPECT_LT(best, 0.02);
}

TEST(StreamProfile, TakesTheDipOfTheFirstCoreOnly) {
  PlaneStream s = family_member(2.0, 0.01);
  s.dip = 0.4;
  EXPECT_NEAR(speeds_along(s, {0.0f})[0], 0.6, 1e-5);
  s.cores = 2;
  s.core[1].y = 30.0;
  s.core[1].amplitude = 0.5;
  const std::vector<float> u = speeds_along(s, {0.0f, 30.0f});
  EXPECT_NEAR(u[0], 0.6, 1e-4);
  EXPECT_NEAR(u[1], 0.5, 1e-4);
}

TEST(StreamProfile, TurnsAnEllipse) {
  PlaneStream s = family_member(2.0, 0.01);
  s.core[0].a = 2.0;
  s.core[0].b = 0.5;
  s.core[0].cosine = std::cos(0.5);
  s.core[0].sine = std::sin(0.5);
  const std::vector<float> y{static_cast<float>(2.0 * std::cos(0.5)),
                             static_cast<float>(-0.5 * std::sin(0.5))};
  const std::vector<float> z{static_cast<float>(2.0 * std::sin(0.5)),
                             static_cast<float>(0.5 * std::cos(0.5))};
  StreamSpeeds out;
  stream_speeds(s, y.data(), z.data(), 2, false, out);
  EXPECT_NEAR(out.u[0], 0.5, 1e-5);
  EXPECT_NEAR(out.u[1], 0.5, 1e-5);
}

TEST(StreamProfile, DerivativeIsThatOfTheSpeedsAboveAndBelow) {
  for (const double xi : {-0.3, 0.01, 0.5}) {
    PlaneStream s = family_member(2.4, xi);
    s.m = 2.3;
    s.dip = 0.4;
    s.core[0].k = 1.2;
    s.core[0].a = 1.3;
    s.core[0].cosine = std::cos(0.5);
    s.core[0].sine = std::sin(0.5);
    s.cores = 2;
    s.core[1].amplitude = 0.7;
    s.core[1].y = 1.1;
    s.core[1].z = -0.4;
    std::vector<float> y, z, below, above;
    constexpr float step = 0.01f;
    for (int i = -6; i <= 6; ++i) {
      for (int j = -6; j <= 6; ++j) {
        y.push_back(0.31f * static_cast<float>(i) + 0.03f);
        z.push_back(0.29f * static_cast<float>(j) + 0.02f);
        below.push_back(z.back() - step);
        above.push_back(z.back() + step);
      }
    }
    StreamSpeeds here, low, high;
    stream_speeds(s, y.data(), z.data(), y.size(), true, here);
    stream_speeds(s, y.data(), below.data(), y.size(), false, low);
    stream_speeds(s, y.data(), above.data(), y.size(), false, high);
    EXPECT_TRUE(low.u_z.empty());
    for (std::size_t i = 0; i < y.size(); ++i) {
      EXPECT_NEAR(here.u_z[i], (high.u[i] - low.u[i]) / (2.0f * step), 2e-3) << xi << ' ' << i;
    }
  }
}

TEST(StreamProfile, SidewaysSpeedOfARoundGaussianIsThatOfContinuity) {
  // u = U0 (x0/x) 2^-(r x0/x)^2: v = (eta f - F/eta) per unit of U0 x0, F the integral of eta f.
  PlaneStream s = family_member(2.0, 1e-3);
  s.growth = 1.0;
  for (const double y : {0.3, 1.0, 2.5}) {
    const double f = std::exp2(-y * y);
    const double flow = (1.0 - f) / (2.0 * std::numbers::ln2);
    const double x = 10.0;
    EXPECT_NEAR(sideways_speed(s, x, f, y, 0.0), (y * f - flow / y) / x, 1e-9) << y;
  }
  // On the axis nothing goes sideways; the two limits meet there.
  EXPECT_NEAR(sideways_speed(s, 10.0, 1.0, 1e-7, 0.0), 0.0, 1e-8);
}

TEST(FastMath, AgreesWithTheStandardLibrary) {
  for (float x = 1e-30f; x < 1e30f; x *= 1.37f) {
    const double exact = std::log2(static_cast<double>(x));
    // Near 1 the logarithm is near zero: there the error is absolute.
    ASSERT_NEAR(fast_log2(x), exact, 3e-7 * std::max(1.0, std::abs(exact))) << x;
  }
  for (float x = -120.0f; x < 120.0f; x += 0.0371f) {
    const double exact = std::exp2(static_cast<double>(x));
    ASSERT_NEAR(static_cast<double>(fast_exp2(x)) / exact, 1.0, 3e-7) << x;
  }
  for (float x = -80.0f; x < 80.0f; x += 0.0371f) {
    // The product with log2 e is rounded to float first.
    ASSERT_NEAR(static_cast<double>(fast_exp(x)) / std::exp(static_cast<double>(x)), 1.0, 1e-5)
        << x;
  }
  EXPECT_GT(fast_exp2(-1e9f), 0.0f);
  EXPECT_LT(fast_exp2(1e9f), 1e38f);
}

TEST(NormalMixture, TakesEqualProbabilityToEqualProbability) {
  const NormalMixture mixture(0.8, {0.1, 0.2}, {-0.5, 1.0}, -1.5, 2.0);
  const auto cdf = [](double x) {
    return 0.8 * normal_cdf((x - 0.1) / 0.2) + 0.2 * normal_cdf((x + 0.5) / 1.0);
  };
  const double below = cdf(-1.5), above = cdf(2.0);
  for (double z = -3.5; z <= 3.5; z += 0.01) {
    const double x = mixture.at(z);
    // The table is straight between steps of 0.05.
    EXPECT_NEAR((cdf(x) - below) / (above - below), normal_cdf(z), 3e-4) << z;
    EXPECT_LT(x, mixture.at(z + 0.01));
  }
  EXPECT_GE(mixture.at(-50.0), -1.5 - 1e-9);
  EXPECT_LE(mixture.at(50.0), 2.0 + 1e-9);
}

TEST(NormalCdf, HasItsTabulatedValuesAndItsTail) {
  // Abramowitz & Stegun 1964, table 26.1.
  EXPECT_NEAR(normal_cdf(1.0), 0.8413447461, 1e-9);
  EXPECT_NEAR(normal_cdf(-2.0), 0.0227501319, 1e-9);
  // ln Q(10) = ln 7.6198530e-24 (table 26.2).
  EXPECT_NEAR(log_normal_cdf(-10.0), -53.23128515, 0.015);
  double before = log_normal_cdf(-30.0);
  for (double x = -29.9; x < 5.0; x += 0.1) {
    const double now = log_normal_cdf(x);
    EXPECT_GT(now, before) << x;
    before = now;
  }
}

}  // namespace
}  // namespace sweepflux
