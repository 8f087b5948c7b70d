#pragma once

#include "sweepflux/field/general/interpolants.hpp"
#include "sweepflux/field/general/ordinary_kriging.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace sweepflux {

/// How a covariance is learnt from readings.
struct FitOptions {
  Kernel kernel = Kernel::matern52;
  bool fit_nugget = true;  ///< false: a millionth of a percent of the sill, for stability alone
  std::size_t exact_limit = 250;  ///< >= 3; with more readings the likelihood is approximated
  std::size_t neighbours = 20;    ///< >= 3; readings that each term of the approximation sees
  std::size_t terms = 800;        ///< >= 50; terms of the approximation
  int threads = 0;                ///< 0: as many as the machine has
};

/// A covariance with how it was found.
struct FittedModel {
  KrigingModel model;
  double objective = 0.0;  ///< -ln restricted likelihood, with the weak priors below
  bool converged = false;
  std::string how;      ///< in words, for notes
};

/// Sill, two ranges (along y and along z), and nugget that make the readings most likely:
/// restricted likelihood [Patterson 1971], by dense factors up to `exact_limit` readings, above
/// it by nearest neighbours [Vecchia 1988]: readings in a fixed shuffled order, a share of them,
/// spread evenly over all scales, each given its nearest among those before it.
///
/// Three or four sweeps hold little about the vertical range; so weak priors stand in, as sd of a
/// logarithm: range along y 1.2 about a quarter of the readings' extent, ratio of the ranges 0.7
/// about 1. Both are common practice, no published source. Several starts; the best is kept.
///
/// @param values  merged()
/// @throws InputError      an option is out of range
/// @throws NumericalError  fewer than 3 readings, or all values equal
[[nodiscard]] FittedModel fit_kriging(const ScatteredValues& values,
                                      const FitOptions& options = {});

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
