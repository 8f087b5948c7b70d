#pragma once

#include "sweepflux/integrate/nodes_private.hpp"

#include <array>
#include <optional>

namespace sweepflux {

/// Integrals of one plane by density 1: volume flow, momentum flux / density, kinetic power /
/// density, in this order wherever three stand together.
using Triple = std::array<double, 3>;

/// What the field itself says of a plane's integrals; errors common to all readings come later.
struct PlaneFlux {
  Triple value{};             ///< [m3/s, m4/s2, m5/s3]
  Triple within{};            ///< standard uncertainty: noise and shape, mean over the candidates
  Triple between{};           ///< spread of the candidates
  Triple skirt{};             ///< tail beyond the readings, or under the starting speed
  Triple total{};             ///< all of these
  Triple beyond{};            ///< share of each that lies beyond the readings
  bool drift_inside = false;  ///< the doubt of the ambient drift is in these numbers already
  /// The same integrals and their standard uncertainty if the room is not at rest; none where its
  /// drift was read with the fan off.
  struct IfDrifting {
    Triple value{}, total{};
  };
  std::optional<IfDrifting> if_drifting;
  double degrees = 1e6;  ///< of freedom behind `total`: few where rows are few
  double window_area_m2 = 0.0;
  double stream_area_m2 = 0.0;  ///< where the field is above a twentieth of its peak
  Array mean;                   ///< mixture's mean speed at the nodes, >= 0
  Array sd;                     ///< of the mixture at the nodes

  /// A candidate by itself.
  struct Part {
    Array mean;         ///< at the nodes [m/s], maybe a little negative; empty: not weighed
    Triple value{};     ///< its integrals
    Triple variance{};  ///< of them, shape and process alone
  };
  std::vector<Part> parts;  ///< as PlaneField::parts
};

/// A plane to integrate.
struct PlaneToIntegrate {
  const PlaneField* field = nullptr;
  const Nodes* nodes = nullptr;
  double starting_speed_m_s = 0.0;  ///< of the probe: what lies below is not measured but inferred
};

/// Integrates the mixture of candidates: Q = sum w m+, M = sum w (m+^2 + V), P = sum w (m+^3 +
/// 3 m+ V) / 2, each with the posterior covariance of the whole field by the delta method. Draws
/// are not clipped at nought: that would read Q high.
/// Candidates of all planes share the threads; the answer does not depend on how many there are.
[[nodiscard]] std::vector<PlaneFlux> integrate_planes(const std::vector<PlaneToIntegrate>& planes,
                                                      int threads);

}  // namespace sweepflux
