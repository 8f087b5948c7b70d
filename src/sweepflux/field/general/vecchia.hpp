#pragma once

#include "sweepflux/field/general/interpolants.hpp"
#include "sweepflux/field/general/ordinary_kriging.hpp"

#include <cstddef>
#include <vector>

namespace sweepflux {

/// Likelihood of many readings as a product of small conditional ones [Vecchia 1988]: readings in
/// a fixed shuffled order, each given its nearest among those before it. Early ones see far
/// neighbours and late ones near: all scales take part. Of late ones a share is enough; the terms
/// are picked evenly over the doublings of the order.
///
/// The first 64 readings see all before them, later ones those before their doubling: of 64
/// readings or fewer, all neighbours, it is the exact restricted likelihood.
///
/// Cost: O(N log N) once; terms * neighbours^3 a model. Same bits for any number of threads.
class VecchiaLikelihood {
 public:
  /// @param values      merged()
  /// @param neighbours  >= 1
  /// @param terms       >= 1; at most so many and a few more
  VecchiaLikelihood(const ScatteredValues& values,
                    std::size_t neighbours,
                    std::size_t terms,
                    int threads = 0);

  /// @return minus infinity where a small matrix is singular
  [[nodiscard]] double restricted_log_likelihood(const KrigingModel& model) const;

  [[nodiscard]] std::size_t terms() const { return targets_.size(); }

 private:
  ScatteredValues values_;  // shuffled
  std::vector<std::size_t> targets_;
  std::vector<std::size_t> first_;  // of a target's neighbours in `given_`
  std::vector<std::size_t> given_;
  int threads_ = 0;
};

}  // namespace sweepflux
