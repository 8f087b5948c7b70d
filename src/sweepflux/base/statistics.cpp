#include "sweepflux/base/statistics.hpp"

#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace sweepflux {

void RunningMoments::merge(const RunningMoments& other) {
  if (other.count_ == 0) {
    return;
  }
  const double n = static_cast<double>(count_);
  const double m = static_cast<double>(other.count_);
  const double gap = other.mean_ - mean_;
  count_ += other.count_;
  mean_ += gap * (m / (n + m));
  squares_ += other.squares_ + gap * gap * (n * m / (n + m));
}

double RunningMoments::variance() const {
  return count_ < 2 ? 0.0 : squares_ / static_cast<double>(count_ - 1);
}

double RunningMoments::standard_deviation() const { return std::sqrt(variance()); }

double mean(std::span<const double> values) {
  if (values.empty()) {
    throw InputError("mean: no values");
  }
  CompensatedSum sum;
  for (const double value : values) {
    sum.add(value);
  }
  const double first = sum.value() / static_cast<double>(values.size());
  CompensatedSum rest;  // what rounding of the first mean left over
  for (const double value : values) {
    rest.add(value - first);
  }
  return first + rest.value() / static_cast<double>(values.size());
}

double standard_deviation(std::span<const double> values) {
  if (values.size() < 2) {
    throw InputError("standard_deviation: two values or more are needed");
  }
  const double centre = mean(values);
  CompensatedSum squares;
  CompensatedSum rest;
  for (const double value : values) {
    squares.add((value - centre) * (value - centre));
    rest.add(value - centre);
  }
  const double n = static_cast<double>(values.size());
  return std::sqrt((squares.value() - rest.value() * rest.value() / n) / (n - 1.0));
}

double median(std::span<const double> values) {
  if (values.empty()) {
    throw InputError("median: no values");
  }
  std::vector<double> sorted(values.begin(), values.end());
  const auto middle = sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2);
  std::nth_element(sorted.begin(), middle, sorted.end());
  if (sorted.size() % 2 == 1) {
    return *middle;
  }
  return 0.5 * (*middle + *std::max_element(sorted.begin(), middle));
}

double robust_scale(std::span<const double> values) {
  const double centre = median(values);
  std::vector<double> distances(values.size());
  std::transform(values.begin(), values.end(), distances.begin(), [centre](double value) {
    return std::abs(value - centre);
  });
  return 1.482602218505602 * median(distances);  // 1 / normal_quantile(3/4)
}

Estimate estimate_of(std::vector<double> draws) {
  const double middle = mean(draws);
  double squares = 0.0;
  for (const double v : draws) {
    squares += (v - middle) * (v - middle);
  }
  std::sort(draws.begin(), draws.end());
  const auto quantile = [&](double share) {
    const double at = share * static_cast<double>(draws.size() - 1);
    const auto i = static_cast<std::size_t>(at);
    const std::size_t j = std::min(i + 1, draws.size() - 1);
    return draws[i] + (at - static_cast<double>(i)) * (draws[j] - draws[i]);
  };
  return {quantile(0.5),
          std::sqrt(squares / static_cast<double>(draws.size())),
          quantile(0.025),
          quantile(0.975)};
}

}  // namespace sweepflux
