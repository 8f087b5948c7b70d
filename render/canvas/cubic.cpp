#include "render/canvas/cubic.hpp"

#include <algorithm>
#include <cstddef>
#include <utility>

namespace sweepflux::render {

Cubic::Cubic(std::vector<double> x, std::vector<double> y, Slopes slopes)
    : x_(std::move(x)), y_(std::move(y)), slope_(x_.size()) {
  const std::size_t n = x_.size();
  const auto width = [this](std::size_t i) { return x_[i + 1] - x_[i]; };
  const auto secant = [this, width](std::size_t i) { return (y_[i + 1] - y_[i]) / width(i); };
  slope_.front() = secant(0);
  slope_.back() = secant(n - 2);
  for (std::size_t i = 1; i + 1 < n; ++i) {
    const double before = secant(i - 1);
    const double after = secant(i);
    if (slopes == Slopes::smooth) {
      slope_[i] = (before * width(i) + after * width(i - 1)) / (width(i) + width(i - 1));
    } else {
      slope_[i] = before * after <= 0.0 ? 0.0 : 2.0 * before * after / (before + after);
    }
  }
}

double Cubic::at(double x) const {
  const auto next = std::upper_bound(x_.begin() + 1, x_.end() - 1, x);
  const auto i = static_cast<std::size_t>(next - x_.begin()) - 1;
  const double step = x_[i + 1] - x_[i];
  const double t = (x - x_[i]) / step;
  const double u = 1.0 - t;
  return y_[i] * (1.0 + 2.0 * t) * u * u + y_[i + 1] * t * t * (3.0 - 2.0 * t) +
         step * (slope_[i] * t * u * u - slope_[i + 1] * t * t * u);
}

}  // namespace sweepflux::render
