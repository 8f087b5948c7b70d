#pragma once

#include "sweepflux/plan/outlook_private.hpp"
#include "sweepflux/plan/stops.hpp"

#include <memory>
#include <string>
#include <vector>

namespace sweepflux {

/// Everything that a schedule is made from: planes, sweeps that could be made, and what they would
/// tell.
struct Prospect {
  struct Plane {
    double distance_m = 0.0;
    ExpectedStream stream;
    double peak_m_s = 0.0;  ///< known or expected
    std::vector<double> taken_m;  ///< heights swept already
    std::vector<double> blank_m;  ///< those of a plane where nothing at all was heard: the stream's
                                  ///< middle is not within a half width of them
    double low_m = 0.0, high_m = 0.0;
  };
  std::vector<Plane> planes;
  std::vector<CandidateSweep> candidates;
  std::unique_ptr<Outlook> outlook;
  double density_kg_m3 = 1.2;
  std::vector<std::string> reasons;
  std::vector<std::string> caveats;
};

/// Before any sweep.
[[nodiscard]] Prospect prospect_from_guess(const Survey& survey, const PlanOptions& options);

/// After some sweeps.
[[nodiscard]] Prospect prospect_from_sweeps(const Survey& survey,
                                            const PlanOptions& options,
                                            const Progress& progress);

}  // namespace sweepflux
