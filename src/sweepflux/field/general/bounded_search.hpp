#pragma once

#include <functional>
#include <span>
#include <vector>

namespace sweepflux {

/// How a search for the least value ended.
struct SearchResult {
  std::vector<double> at;
  double value = 0.0;
  bool converged = false;  ///< the last step lowered the value by less than the tolerance
};

/// Least value of a smooth function in a box: projected quasi-Newton steps (BFGS) with gradients
/// by differences [Nocedal 2006, chapters 6 and 16]. For few variables of size about 1, such as
/// logarithms.
///
/// @param function  may return infinity where it is not defined; must be finite at the start
/// @param start     inside the box
/// @param tolerance  of the value, > 0
/// @throws InputError  sizes differ, low > high, start outside, or not finite at the start
[[nodiscard]] SearchResult search_minimum(
    const std::function<double(std::span<const double>)>& function,
    std::vector<double> start,
    std::span<const double> low,
    std::span<const double> high,
    double tolerance = 1e-9,
    int most_steps = 60);

}  // namespace sweepflux
