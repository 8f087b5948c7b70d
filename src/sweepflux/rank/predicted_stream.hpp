#pragma once

#include "sweepflux/rank/throw.hpp"

#include <cstddef>
#include <span>
#include <string>
#include <vector>

namespace sweepflux {

/// The stream of one entry, predicted.
struct PredictedStream {
  std::size_t entry = 0;
  StreamSource source;
  std::size_t planes = 0;  ///< that the shape was fitted to
  StreamLaw shape;
  std::vector<StreamPrediction> along;  ///< at the distances asked for
  std::vector<StreamPrediction> curve;  ///< at even steps, all entries alike, for a picture
  std::vector<Throw> throws;            ///< for the speeds asked for
  std::vector<std::string> conditions;
};

/// The prediction of an entry; null where there is none.
[[nodiscard]] inline const PredictedStream* predicted_of(std::span<const PredictedStream> predicted,
                                                         std::size_t entry) {
  for (const PredictedStream& f : predicted) {
    if (f.entry == entry) {
      return &f;
    }
  }
  return nullptr;
}

}  // namespace sweepflux
