#pragma once

#include "sweepflux/derive/log/settling.hpp"

#include <cstddef>
#include <vector>

namespace sweepflux {

inline constexpr std::size_t response_cells = 100;  ///< of time, over the usual stretch

/// A mean response on equal cells of time, 1 before the step and 0 at its end.
struct MeanResponse {
  double cell_s = 0.0;
  double move_s = 0.0;
  std::vector<double> value;
  std::vector<double> weight;
};

/// Fits a sensor of the first order behind a delay to a mean response, and says how long it
/// settles: the median over all such sensors, each weighted by its likelihood, with delay and
/// logarithm of the time constant as likely anywhere beforehand. The likeliest sensor alone would
/// jump along its flat valley when a few rows are lost. The interval holds 95 % of the weight.
///
/// @param variance  of the misfit by chance, in its units (weight times squared response)
void fit_approach(const MeanResponse& response, double variance, StepResponse& result);

}  // namespace sweepflux
