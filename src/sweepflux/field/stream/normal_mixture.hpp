#pragma once

#include <vector>

namespace sweepflux {

/// One normal of a mixture.
struct Normal {
  double mean = 0.0;
  double sd = 1.0;
};

/// A prior: two normals, the first with probability `first`, cut to [low, high], as a monotone
/// function of a standard normal variable. So every parameter of the stream is one standard normal
/// to the sampler, and a heavy tail is a bend of the function.
class NormalMixture {
 public:
  NormalMixture() = default;
  NormalMixture(double first, Normal a, Normal b, double low = -1e9, double high = 1e9);

  [[nodiscard]] double at(double standard_normal) const;
  /// The standard normal variable of a value; the nearest where there is none.
  [[nodiscard]] double inverse(double value) const;

 private:
  std::vector<double> table_;  ///< at -6, -5.95, ..., 6; straight between
};

/// Of the standard normal distribution.
[[nodiscard]] double normal_cdf(double x);
[[nodiscard]] double log_normal_cdf(double x);

/// Most streams are nearly round, some are not: both parts of the stretch are normal, with a
/// standard deviation of 0.08 three times in five and of 0.45 else. Their common length as a rising
/// function of that of two standard normal variables.
[[nodiscard]] double oval_length(double normal_length);

}  // namespace sweepflux
