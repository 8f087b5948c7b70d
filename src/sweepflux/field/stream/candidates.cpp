#include "sweepflux/field/stream/candidates_private.hpp"
#include "sweepflux/field/stream/mean_model_private.hpp"

#include <cstddef>

namespace sweepflux {

const char* candidate_name(Candidate candidate) {
  switch (candidate) {
    case Candidate::gaussian:
      return "Gaussian ellipse";
    case Candidate::bent_gaussian:
      return "Gaussian times a polynomial";
    case Candidate::outlet_shape:
      return "as flat as the outlet lets expect";
    case Candidate::core:
      return "core with free flatness, tail and hub dip";
    case Candidate::two_cores:
      return "two cores";
    case Candidate::three_cores:
      return "three cores";
    case Candidate::four_cores:
      return "four cores";
    case Candidate::changing_core:
      return "core whose flatness and hub dip change downstream";
  }
  return "";
}

std::vector<Candidate> usual_candidates(const FitData& data) {
  std::vector<Candidate> all = {Candidate::core, Candidate::two_cores, Candidate::gaussian};
  if (data.planes.size() > 1) {
    all.insert(all.begin(), Candidate::changing_core);
  }
  if (flat_as_outlet(data)) {
    all.push_back(Candidate::outlet_shape);
  }
  return all;
}

std::vector<Candidate> further_candidates(const FitData& data) {
  std::size_t heights = 0;
  for (const FitData::Plane& p : data.planes) {
    heights += p.heights_m.size();
  }
  const std::size_t most_cores = heights / 2 + 1;
  std::vector<Candidate> all = {Candidate::bent_gaussian};
  if (most_cores >= 3) {
    all.push_back(Candidate::three_cores);
  }
  if (most_cores >= 4) {
    all.push_back(Candidate::four_cores);
  }
  return all;
}

}  // namespace sweepflux
