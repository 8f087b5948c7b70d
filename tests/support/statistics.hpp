#pragma once

#include <cstddef>
#include <utility>
#include <vector>

namespace sweepflux::test {

/// Linear between order statistics, at position p (n - 1); not-a-number for no values.
[[nodiscard]] double quantile(std::vector<double> values, double p);
[[nodiscard]] inline double median(std::vector<double> values) {
  return quantile(std::move(values), 0.5);
}

/// Interval score of a 95 % interval [Winkler 1972; Gneiting 2007, eq. 43]: its width, and 40 times
/// by how much the truth lies outside. Small is good; it cannot be cheated by wide intervals.
[[nodiscard]] double interval_score(double low, double high, double truth);

/// One answer beside the truth; everything relative to the truth.
struct Answer {
  double error = 0.0;  ///< value / truth - 1
  double low = 0.0;    ///< low / truth - 1
  double high = 0.0;   ///< high / truth - 1
  double sd = 0.0;     ///< stated standard uncertainty / truth

  [[nodiscard]] bool covered() const { return low <= 0.0 && high >= 0.0; }
};

struct Summary {
  std::size_t count = 0;
  double median_error = 0.0;   ///< of |error|
  double p90_error = 0.0;      ///< of |error|
  double bias = 0.0;           ///< median of error
  double coverage = 0.0;       ///< share of intervals that hold the truth
  double half_width = 0.0;     ///< median
  double mean_score = 0.0;     ///< interval score
  double error_over_sd = 0.0;  ///< rms of error / stated sd: 1 when honest
};
[[nodiscard]] Summary summarise(const std::vector<Answer>& answers);

}  // namespace sweepflux::test
