#pragma once

#include "sweepflux/rank/compare.hpp"

#include <optional>
#include <vector>

namespace sweepflux {

/// The stream of one entry as its thrust, outlet and maps predict it; none where too little is known.
[[nodiscard]] std::optional<PredictedStream> predict_entry(const std::vector<FanAtSetting>& entries,
                                                           std::size_t index,
                                                           const std::vector<double>& distances_m,
                                                           const CompareOptions& options);

/// Adds each stream's curve over the same distances.
void add_curves(Comparison& comparison);

/// What a reader should know first, and what was left out: their sentences.
void say_summary(Comparison& comparison);
void say_warnings(Comparison& comparison);

}  // namespace sweepflux
