#include "tests/support/statistics.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace sweepflux::test {

double quantile(std::vector<double> values, double p) {
  if (values.empty()) {
    return std::numeric_limits<double>::quiet_NaN();
  }
  std::sort(values.begin(), values.end());
  const double at = p * static_cast<double>(values.size() - 1);
  const auto i = std::min(static_cast<std::size_t>(at), values.size() - 1);
  const std::size_t next = std::min(i + 1, values.size() - 1);
  return values[i] + (at - static_cast<double>(i)) * (values[next] - values[i]);
}

double interval_score(double low, double high, double truth) {
  const double beyond = std::max(0.0, low - truth) + std::max(0.0, truth - high);
  return high - low + 2.0 / 0.05 * beyond;
}

Summary summarise(const std::vector<Answer>& answers) {
  std::vector<double> size, sign, half;
  Summary summary;
  summary.count = answers.size();
  const double n = static_cast<double>(answers.size());
  double square = 0.0;
  for (const Answer& answer : answers) {
    size.push_back(std::abs(answer.error));
    sign.push_back(answer.error);
    half.push_back((answer.high - answer.low) / 2);
    summary.coverage += answer.covered() ? 1.0 / n : 0.0;
    summary.mean_score += interval_score(answer.low, answer.high, 0.0) / n;
    square += std::pow(answer.error / answer.sd, 2) / n;
  }
  summary.median_error = median(size);
  summary.p90_error = quantile(size, 0.9);
  summary.bias = median(sign);
  summary.half_width = median(half);
  summary.error_over_sd = std::sqrt(square);
  return summary;
}

}  // namespace sweepflux::test
