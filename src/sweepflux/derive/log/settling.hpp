#pragma once

#include "sweepflux/derive/log/block_series.hpp"

#include <span>

namespace sweepflux {

/// One move of the rig and the stretch after it.
struct StepRecord {
  const BlockSeries* after = nullptr;  ///< the stretch, from the moment the rig was told to move
  double start_s = 0.0;
  double end_s = 0.0;
  double level_before = 0.0;  ///< late mean of the stretch before
};

/// How readings follow a move: nothing for `delay_s`, then an exponential approach.
struct StepResponse {
  bool seen = false;             ///< the approach stands out from the turbulence
  double delay_s = 0.0;          ///< the rig's own move, transport of the air
  double time_constant_s = 0.0;  ///< of sensor and flow together
  double settle_s = 0.0;         ///< until 1 % of the step is left
  double settle_low_s = 0.0;     ///< what the turbulence of the steps leaves possible, about 95 %
  double settle_high_s = 0.0;
  double noise = 0.0;  ///< of the mean response, in steps; above 0.25 nothing can be said
};

/// Mean response over all steps, each weighted by the square of its height over
/// the turbulence after it, and a delayed
/// exponential fitted to it. What the end of each stretch still lacks is part of the model.
///
/// @param steps  any number; with none, or steps too small, `seen` is false and `noise` says why
[[nodiscard]] StepResponse find_step_response(std::span<const StepRecord> steps);

}  // namespace sweepflux
