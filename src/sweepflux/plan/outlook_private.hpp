#pragma once

#include "sweepflux/integrate/sweep_value_private.hpp"
#include "sweepflux/plan/schedule.hpp"

#include <array>
#include <vector>

namespace sweepflux {

/// A sweep that could be made.
struct CandidateSweep {
  std::size_t plane = 0;
  double height_m = 0.0;
};

/// What is foreseen of all planes' integrals, as sweeps are added in thought: the joint moments of
/// integrals and readings to come, conditioned. Nothing is refitted, so a step costs one small
/// solve a plane. More than one view of the same stream may be asked, each by its weight.
class Outlook {
 public:
  struct Plane {
    double value[2] = {0.0, 0.0};      ///< flow [m3/s], momentum / density [m4/s2]
    double own_sd[2] = {0.0, 0.0};     ///< the field's doubt now, which sweeps take away
    double common_sd[2] = {0.0, 0.0};  ///< doubt that no sweep takes away
    double weight = 1.0;               ///< in the target
  };

  /// One view of the stream, of the first planes or of all.
  class View {
   public:
    /// @param weights     per plane; those of all views sum to 1
    /// @param posteriors  per plane: what `foretell` says of all candidates' places
    View(std::vector<double> weights,
         std::vector<SweepPosterior> posteriors,
         ReadingModel readings);
    void make(std::size_t candidate);
    /// What is left of a variance since the view's beginning was set.
    [[nodiscard]] double left(std::size_t plane, int which) const;
    /// Fall of what is left by a candidate; for the map, of all places' variance over the square
    /// of the peak.
    [[nodiscard]] double fall(std::size_t plane, std::size_t candidate, PlanTarget target) const;
    [[nodiscard]] double weight(std::size_t plane) const { return weights_[plane]; }
    /// From here on: what was made before is known.
    void begin();

   private:
    std::vector<double> weights_;
    std::vector<SweepPosterior> posteriors_;  ///< a plane, as foreseen
    ReadingModel readings_;
    std::vector<std::array<double, 2>> start_variance_;
  };

  Outlook(std::vector<Plane> planes, std::vector<View> views);

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
  std::vector<Plane> planes_;
  std::vector<View> views_;
};

}  // namespace sweepflux
