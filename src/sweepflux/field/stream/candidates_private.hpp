#pragma once

#include <vector>

namespace sweepflux {

struct FitData;

/// Which shape, and how it changes along the stream.
enum class Candidate {
  gaussian,
  bent_gaussian,
  outlet_shape,
  core,
  two_cores,
  three_cores,
  four_cores,
  changing_core
};
[[nodiscard]] const char* candidate_name(Candidate candidate);

/// Those always asked, and where the stream may still be as flat as its outlet, that too.
[[nodiscard]] std::vector<Candidate> usual_candidates(const FitData& data);

/// Those asked one after the other while none before them fits; no more cores than half the heights
/// and one.
[[nodiscard]] std::vector<Candidate> further_candidates(const FitData& data);

/// No candidate fits that misses the readings by more [noise].
inline constexpr double misfit_of_all = 2.0;

}  // namespace sweepflux
