#pragma once

#include "sweepflux/integrate/sweep_value_private.hpp"
#include "sweepflux/plan/schedule.hpp"

#include <functional>
#include <vector>

namespace sweepflux {

/// A sweep that could be made.
struct CandidateSweep {
  std::size_t plane = 0;
  double height_m = 0.0;
};

/// What is foreseen of all planes' integrals, as sweeps are added in thought: Gaussian
/// conditioning of the candidates' joint posterior, candidate shape by candidate shape. Nothing is
/// refitted, so a step costs one small solve.
class Outlook {
 public:
  struct Plane {
    double value[2] = {0.0, 0.0};      ///< flow [m3/s], momentum / density [m4/s2]
    double own_sd[2] = {0.0, 0.0};     ///< the field's doubt now
    double common_sd[2] = {0.0, 0.0};  ///< doubt that no sweep takes away
    double weight = 1.0;               ///< in the target
  };

  /// @param flow, momentum  per plane: what `foretell` says of all candidates' places
  /// @param noise           of one reading at a speed
  /// @param per_place       readings that one place of a candidate stands for
  Outlook(std::vector<Plane> planes,
          std::vector<std::vector<SweepPosterior>> flow,
          std::vector<std::vector<SweepPosterior>> momentum,
          double starting_speed_m_s,
          double sweep_gain_sd,
          double per_place,
          std::function<double(double)> noise);

  /// Fall of the target's mean relative variance over the planes if this candidate is made.
  [[nodiscard]] double gain(std::size_t candidate, PlanTarget target) const;
  void make(std::size_t candidate);
  /// Relative standard uncertainty of a plane's flow (0) or momentum (1) as foreseen.
  [[nodiscard]] double share(std::size_t plane, int which) const;
  [[nodiscard]] double sd(std::size_t plane, int which) const;
  /// Of the target: the worst plane.
  [[nodiscard]] double worst_share(PlanTarget target) const;
  /// The worst plane if all candidates were made at once: what common errors leave.
  [[nodiscard]] double floor_share(PlanTarget target) const;

 private:
  struct State {
    double weight = 0.0, start_variance = 0.0, variance = 0.0;
    Vector c;
    std::size_t joint = 0;  ///< index into joint_
  };
  struct Joint {
    Matrix among;
    Array mean;
  };
  struct Heard {
    std::vector<Eigen::Index> places;
    Matrix factor;  ///< Cholesky factor of their covariance with noise
  };
  [[nodiscard]] Heard hear(const Joint& joint, std::size_t candidate) const;

  std::vector<Plane> planes_;
  std::vector<std::vector<State>> states_[2];  ///< flow, momentum: per plane, per candidate shape
  std::vector<Joint> joint_;
  std::vector<Eigen::Index> begin_;
  double starting_speed_ = 0.0, gain_sd_ = 0.0, per_place_ = 1.0;
  std::function<double(double)> noise_;
};

}  // namespace sweepflux
