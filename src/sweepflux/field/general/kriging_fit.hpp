#pragma once

#include "sweepflux/field/general/interpolants.hpp"
#include "sweepflux/field/general/ordinary_kriging.hpp"

#include <cstddef>
#include <string>

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
  int evaluations = 0;  ///< of the likelihood
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

}  // namespace sweepflux
