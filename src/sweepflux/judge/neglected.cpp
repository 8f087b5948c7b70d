#include "sweepflux/judge/neglected.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace sweepflux {

double head_momentum_ratio(double head_by_half_width) {
  const double w = std::numbers::ln2 * head_by_half_width * head_by_half_width;
  if (w < 1e-5) {
    return 1.0 - 0.5 * w;  // the closed form loses its digits here
  }
  if (w > 200.0) {
    return 2.0 / w * (1.0 - std::sqrt(2.0 / (std::numbers::pi * w)));
  }
  const double bessel = std::cyl_bessel_i(0.0, w) + std::cyl_bessel_i(1.0, w);
  return 2.0 / w * (1.0 - std::exp(-w) * bessel);
}

ShareRange confined_momentum_share(double downstream_m, double section_m2) {
  constexpr double strong = 0.119;
  constexpr double weak = 0.282 * 0.282;
  const double x_2 = downstream_m * downstream_m / section_m2;
  return {1.0 / (1.0 + strong * x_2), 1.0 / (1.0 + weak * x_2)};
}

double lag_momentum_ratio(double lag_by_width) {
  const double k = lag_by_width;
  if (k < 0.05) {
    return 1.0 - 0.5 * k * k + 0.75 * k * k * k * k;  // exp(1 / k^2) would overflow
  }
  return std::sqrt(std::numbers::pi) / k * std::exp(1.0 / (k * k)) * std::erfc(1.0 / k);
}

double row_spacing_error(double spacing_by_half_width) {
  if (spacing_by_half_width <= 0.0) {
    return 0.0;
  }
  const double factor = std::numbers::pi * std::numbers::pi / (2.0 * std::numbers::ln2);
  return std::min(1.0, 2.0 * std::exp(-factor / (spacing_by_half_width * spacing_by_half_width)));
}

ShareRange momentum_below_start(double starting_speed_m_s, double peak_m_s) {
  const double share = std::min(1.0, starting_speed_m_s / peak_m_s);
  return {share * share, std::pow(share, 1.5)};
}

}  // namespace sweepflux
