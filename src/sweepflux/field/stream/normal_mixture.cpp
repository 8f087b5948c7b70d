#include "sweepflux/field/stream/normal_mixture.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace sweepflux {
namespace {

constexpr double reach = 6.0;
constexpr double step = 0.05;
constexpr int halvings = 36;

}  // namespace

double normal_cdf(double x) { return 0.5 * std::erfc(-x / std::numbers::sqrt2); }

double log_normal_cdf(double x) {
  if (x > 6.0) {
    return 0.0;  // to 1e-9
  }
  // Below -8 the leading term of the asymptotic series [Abramowitz & Stegun 26.2.12], to 1.5 %.
  return x > -8.0 ? std::log(normal_cdf(x))
                  : -0.5 * x * x - std::log(-x) - 0.5 * std::log(2.0 * std::numbers::pi);
}

NormalMixture::NormalMixture(double first, Normal a, Normal b, double low, double high) {
  const auto cdf = [&](double x) {
    return first * normal_cdf((x - a.mean) / a.sd) +
           (1.0 - first) * normal_cdf((x - b.mean) / b.sd);
  };
  const double below = cdf(low), above = cdf(high);
  const auto count = static_cast<int>(std::lround(2.0 * reach / step));
  double from = std::max(low, std::min(a.mean - 8.0 * a.sd, b.mean - 8.0 * b.sd));
  for (int i = 0; i <= count; ++i) {
    const double wanted = below + (above - below) * normal_cdf(-reach + step * i);
    double x0 = from, x1 = std::min(high, std::max(a.mean + 8.0 * a.sd, b.mean + 8.0 * b.sd));
    for (int k = 0; k < halvings; ++k) {
      const double x = 0.5 * (x0 + x1);
      (cdf(x) < wanted ? x0 : x1) = x;
    }
    table_.push_back(0.5 * (x0 + x1));
    from = x0;
  }
}

double NormalMixture::at(double z) const {
  const double u =
      std::clamp((z + reach) / step, 0.0, static_cast<double>(table_.size() - 1) - 1e-9);
  const auto i = static_cast<std::size_t>(u);
  return table_[i] + (u - static_cast<double>(i)) * (table_[i + 1] - table_[i]);
}

double NormalMixture::inverse(double value) const {
  const auto above = std::upper_bound(table_.begin() + 1, table_.end() - 1, value);
  const double low = *(above - 1), part = std::clamp((value - low) / (*above - low), 0.0, 1.0);
  return -reach + step * (static_cast<double>(above - 1 - table_.begin()) + part);
}

double oval_length(double normal_length) {
  static const std::array<double, 161> table = [] {
    const auto beyond = [](double e) {
      return 0.6 * std::exp(-0.5 * e * e / (0.08 * 0.08)) +
             0.4 * std::exp(-0.5 * e * e / (0.45 * 0.45));
    };
    std::array<double, 161> out{};
    for (std::size_t i = 1; i < out.size(); ++i) {
      const double r = step * static_cast<double>(i), wanted = std::exp(-0.5 * r * r);
      double low = out[i - 1], high = 8.0;
      for (int k = 0; k < 60; ++k) {
        const double middle = 0.5 * (low + high);
        (beyond(middle) > wanted ? low : high) = middle;
      }
      out[i] = high;
    }
    return out;
  }();
  const double at = std::min(normal_length / step, static_cast<double>(table.size()) - 1.001);
  const auto i = static_cast<std::size_t>(at);
  return table[i] + (at - static_cast<double>(i)) * (table[i + 1] - table[i]);
}

}  // namespace sweepflux
