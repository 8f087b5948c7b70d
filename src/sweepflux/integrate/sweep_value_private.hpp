#pragma once

#include "sweepflux/integrate/flux_private.hpp"

#include <array>
#include <functional>
#include <vector>

namespace sweepflux {

/// A sweep not yet made: where its readings would lie.
struct WantedSweep {
  static constexpr std::size_t elsewhere = static_cast<std::size_t>(-1);
  std::size_t plane = 0;  ///< index in the survey; elsewhere: in no plane of the field
  Array y, z;
};

/// What sweeps would tell about a plane's flow (column 0) and momentum (column 1): first and second
/// moments of both and of the readings to come, over all candidates of the plane's field. Where the
/// candidates, or the shapes that one of them allows, foretell different readings, the readings
/// will tell them apart: that is in the moments too, so conditioning on them is the best linear
/// estimate over the whole mixture [Rasmussen & Williams 2006, A.2], not one a candidate.
struct SweepPosterior {
  std::array<double, 2> variance{};  ///< of flow [m6/s2] and momentum / density [m8/s4] now
  Matrix with;                       ///< places x 2
  Matrix among;                      ///< places x places [m2/s2]
  Array mean;                        ///< at the places [m/s]; nought where nothing is foretold
  std::vector<Eigen::Index> begin;   ///< first place of each sweep, and the end
};

/// Parameters are held: closed form, no refit. Candidates that weigh less than a twentieth are
/// left out.
[[nodiscard]] SweepPosterior foretell(const PlaneField& field,
                                      std::size_t plane,
                                      const Nodes& nodes,
                                      const PlaneFlux& flux,
                                      const std::vector<WantedSweep>& wanted,
                                      int threads);

/// Readings of one sweep that can be heard, and the Cholesky factor of their covariance.
struct HeardSweep {
  std::vector<Eigen::Index> places;
  Matrix factor;
};

/// What readings are like.
struct ReadingModel {
  double starting_speed_m_s = 0.0;      ///< only what is expected above it counts
  double sweep_gain_sd = 0.0;           ///< common to a sweep, relative
  double per_place = 1.0;               ///< readings that one place stands for
  std::function<double(double)> noise;  ///< standard uncertainty of one at a given speed [m/s]
};

[[nodiscard]] HeardSweep hear(const SweepPosterior& posterior,
                              std::size_t sweep,
                              const ReadingModel& readings);

/// Fall of the variance of flow (0) or momentum (1) by a sweep.
[[nodiscard]] double variance_taken(const SweepPosterior& posterior,
                                    const HeardSweep& heard,
                                    int which);

}  // namespace sweepflux
