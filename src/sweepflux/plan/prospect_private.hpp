#pragma once

#include "sweepflux/integrate/known_stream.hpp"
#include "sweepflux/plan/schedule.hpp"
#include "sweepflux/plan/stream_guess.hpp"

#include <Eigen/Core>

#include <array>
#include <vector>

namespace sweepflux {

/// Relative standard uncertainties of an integral that no sweep takes away.
struct CommonShares {
  double scale = 0.0;     ///< of the probe
  double distance = 0.0;  ///< swivel
  double density = 0.0;   ///< of the air
  double head = 0.0;      ///< of the correction for the size of the probe's head
  [[nodiscard]] double variance() const {
    return scale * scale + distance * distance + density * density + head * head;
  }
};

/// A plane as the plan sees it: medians of the draws.
struct PlanPlane {
  StreamGuess stream;
  HeightRange range;
  std::vector<double> swept_m;    ///< heights
  bool silent = false;            ///< swept, and no reading rose above the starting speed
  std::array<double, 2> value{};  ///< flow [m3/s], momentum flux / density [m4/s2]
  std::array<CommonShares, 2> common{};
};

/// A sweep that could be made.
struct CandidateSweep {
  std::size_t plane = 0;
  double height_m = 0.0;
  std::vector<Stop> stops;
};

[[nodiscard]] inline ExpectedStream expected(const PlanPlane& p) {
  return {p.stream.centre_y_m,
          p.stream.centre_height_m,
          p.stream.half_width_y_m,
          p.stream.half_width_z_m};
}

/// The planes of a survey as its draws show them.
///
/// @throws NumericalError  no height is left between floor, ceiling and limits
[[nodiscard]] std::vector<PlanPlane> plan_planes(const Survey& survey, const KnownStream& known);

/// `heights_a_plane` heights over the possible range of each plane, plane by plane.
inline constexpr std::size_t heights_a_plane = 25;
[[nodiscard]] std::vector<CandidateSweep> possible_sweeps(const Survey& survey,
                                                          const std::vector<PlanPlane>& planes);

/// What would be known after sweeps that were not made yet: the posterior from readings of the most
/// typical draw, with the noise of a good vane. Far from any data the logarithms bend too much for
/// a covariance alone.
[[nodiscard]] KnownStream rehearse(const Survey& survey,
                                   const KnownStream& prior,
                                   const std::vector<PlanPlane>& planes,
                                   const std::vector<CandidateSweep>& made,
                                   int threads,
                                   const Progress& progress);

/// What sweeps would leave of the draws' variance: the joint covariance over the draws of the
/// logarithms of all planes' flows and momentum fluxes with the readings of all candidates, and its
/// conditioning [Rasmussen 2006, eq. A.6]. A reading enters as asinh(share u / offset) / share, in
/// which its noise sqrt(offset^2 + (share u)^2) is 1 at any speed; below the probe's starting speed
/// all readings are alike, so they say nothing but that. Everything is cut at its 0.5 and 99.5 %
/// quantiles: a few extreme draws must not set the covariance.
class Prospect {
 public:
  /// @param threads  the answer is the same for any number
  Prospect(const Survey& survey,
           const KnownStream& known,
           const std::vector<PlanPlane>& planes,
           const std::vector<CandidateSweep>& candidates,
           int threads);

  /// Fall of the target if this candidate is swept, as a share of what is left of it. Momentum flux
  /// and flow: sum over the planes of the squared relative variance, so that the least certain
  /// plane counts most; map: variance of the speeds over all candidates' places.
  [[nodiscard]] double fall(std::size_t candidate, PlanTarget target) const;
  void sweep(std::size_t candidate);
  /// Relative standard uncertainty of a plane's flow (0) or momentum flux (1) by now.
  [[nodiscard]] double share(std::size_t plane, std::size_t which) const;
  /// Part of share() that the room's drift and the offset of the readings explain.
  [[nodiscard]] double share_of_drift(std::size_t plane, std::size_t which) const;

 private:
  struct Rows {
    Eigen::Index begin = 0, count = 0;
    Eigen::MatrixXd noise;   ///< covariance of the readings about the stream's
    Eigen::VectorXd weight;  ///< of the variance of each, in that of the map
  };
  [[nodiscard]] double variance(std::size_t plane, std::size_t which) const;
  /// Covariance of a candidate's readings with columns, by the factor of their own.
  [[nodiscard]] Eigen::MatrixXd whitened(std::size_t candidate,
                                         Eigen::Index begin,
                                         Eigen::Index count) const;

  std::vector<std::array<double, 2>> common_variance_;
  std::vector<Rows> rows_;
  Eigen::MatrixXd covariance_;  ///< two columns a plane, drift, offset, then the candidates' places
};

}  // namespace sweepflux
