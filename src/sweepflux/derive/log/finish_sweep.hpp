#pragma once

#include "sweepflux/derive/log/reduce_log.hpp"

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace sweepflux {

/// Of a log whose positions stand neither in it nor in a list of stops.
inline constexpr char no_angle_words[] =
    ": the log has no angle column that goes by a usual name; name it with --angle-column "
    "(angle_column), give a list of stops (steps), or the sweep's pattern (start, step, stops, dwell)";

/// From so many dwells on, each is judged with the correlation times of the others before it.
inline constexpr std::size_t fewest_pooled = 8;

/// Dwell to reading, as it stands.
[[nodiscard]] ReducedReading reading_of(const Dwell& dwell);

/// Judges standard errors again, each dwell's with the correlation times of the first 8, 12, 18, ...
/// of the log, as many as there were by its end: no later dwell changes what was said of one.
class ErrorPool {
 public:
  /// @param dwells  all of the log so far; those that were judged before are not touched
  /// @return false when they are too few for that; then nothing was changed
  bool judge(std::span<Dwell> dwells);

 private:
  std::vector<MeanEvidence> seen_;
  std::size_t learn_at_ = fewest_pooled;
  std::optional<CorrelationPrior> prior_;
  std::size_t looked_at_ = 0;
  std::size_t judged_ = 0;
};

/// Makes a sweep of what a finder found, once the log has ended: sensor warnings, drift, backlash,
/// corrections, and what was not used. The one way for a log that is read and for one that is
/// followed, so that the same rows give the same result.
///
/// @param finder   finished
/// @param reduced  gets everything; its file, remarks on the begin and `counts` are there already
/// @throws SurveyError     no row holds a value
/// @throws NumericalError  more stops were lost than gave a reading
void finish_sweep(const DwellFinder& finder,
                  std::vector<Dwell> dwells,
                  const ReduceSettings& settings,
                  ReducedLog& reduced);

/// What was counted besides good rows, as warnings.
void note_counts(ReducedLog& reduced);

}  // namespace sweepflux
