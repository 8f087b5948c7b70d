#pragma once

#include "sweepflux/derive/log/block_series.hpp"

#include <span>

namespace sweepflux {

/// One move of the rig and the stretch after it.
struct StepRecord {
  const BlockSeries* after = nullptr;  ///< the stretch, from the moment the rig was commanded to
                                       ///< move, or came to rest
  double start_s = 0.0;
  double move_s = 0.0;        ///< that the rig had moved for by then, evenly
  double level_before = 0.0;  ///< late mean of the stretch before
};

/// How readings follow a move: nothing for `delay_s`, then the approach of a sensor of the first
/// order, which may have begun while the rig still moved.
struct StepResponse {
  bool seen = false;             ///< the approach stands out from the turbulence
  double delay_s = 0.0;          ///< the rig's own move, transport of the air
  double time_constant_s = 0.0;  ///< of sensor and flow together
  double settle_s = 0.0;         ///< until 1 % of the step is left
  double settle_low_s = 0.0;     ///< what the turbulence after the steps leaves possible, 95 % of
                                 ///< the likelihood; eddies of the steps come on top: it holds the
                                 ///< truth in 6 of 10 simulated logs. 0: steps are too few to
                                 ///< distinguish it from eddies
  double settle_high_s = 0.0;
  double noise = 0.0;  ///< of the mean response, in steps; above 0.25 nothing can be said
};

/// Mean response over all steps, each weighted by the square of its height over the turbulence
/// after it, and delayed exponentials fitted to it, of which the usual move has run. Beside it a
/// second one is looked for, from a fall to zero at every move (a vane turned out of the wind, a
/// probe covered on the way); the one that takes longer counts. What the end of each window still
/// lacks is part of the model. Single values far off what a step can show are clipped.
///
/// @param steps     any number; with none, or steps too small, `seen` is false and `noise` says why
/// @param window_s  looked at after each step, whatever the length of its stretch: a stretch that
///                  goes on for longer says the same as one that does not
[[nodiscard]] StepResponse find_step_response(std::span<const StepRecord> steps, double window_s);

/// Mean of the blocks that begin in [from_s, to_s), in which a value far off their median counts as
/// a bound about it; NaN: there are none.
[[nodiscard]] double settled_level(const BlockSeries& series, double from_s, double to_s);

/// A settling time on a ladder (1, 1.25, 1.6, 2, 2.5, ... s), rounded up. The steps are preferred
/// numbers [ISO 3, R10].
[[nodiscard]] double on_settling_ladder(double settle_s);

/// What is dropped from each rest: the settling time on a ladder, so that what one stop more or
/// less changes in the step response changes no reading of the others, as a rule. Where the time is
/// not known within a step of the coarser ladder (1, 1.6, 2.5, 4, ... s [ISO 3, R5]) it is that one,
/// but not over 0.45 of the stretch looked at. A long time that the turbulence may only feign must
/// not eat up the dwells.
///
/// @param window_s  that the response was looked at
/// @return 0 where no response was seen
[[nodiscard]] double chosen_settling(const StepResponse& response, double window_s);

}  // namespace sweepflux
