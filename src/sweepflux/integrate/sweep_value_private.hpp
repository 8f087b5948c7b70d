#pragma once

#include "sweepflux/integrate/flux_private.hpp"

#include <functional>
#include <vector>

namespace sweepflux {

/// A sweep not yet made: where its readings would lie.
struct WantedSweep {
  std::size_t plane = 0;  ///< index in the survey
  Array y, z;
};

/// What to make certain.
enum class Target { momentum, flow };

/// What sweeps would tell about a plane's flow or momentum, for one candidate of its field.
struct SweepPosterior {
  double weight = 0.0;              ///< of the candidate
  double variance = 0.0;            ///< of the functional now
  CrossPosterior cross;             ///< at the places of all wanted sweeps, one behind the other
  std::vector<Eigen::Index> begin;  ///< first place of each sweep, and the end
};

/// For each candidate that weighs. Parameters are held: closed form, no refit.
[[nodiscard]] std::vector<SweepPosterior> foretell(const PlaneField& field,
                                                   std::size_t plane,
                                                   const Nodes& nodes,
                                                   const PlaneFlux& flux,
                                                   Target target,
                                                   const std::vector<WantedSweep>& wanted,
                                                   int threads);

/// Share of the variance that each sweep alone would take away, averaged over the candidates;
/// only readings expected above the starting speed count.
///
/// @param noise  standard uncertainty of a reading at a given speed
/// @return one share a sweep, 0 to 1
[[nodiscard]] std::vector<double> variance_taken(const std::vector<SweepPosterior>& candidates,
                                                 double starting_speed_m_s,
                                                 const std::function<double(double)>& noise);

}  // namespace sweepflux
