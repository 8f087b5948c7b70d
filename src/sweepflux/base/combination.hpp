#pragma once

#include "sweepflux/base/measured.hpp"

#include <cstddef>
#include <span>
#include <string>
#include <vector>

namespace sweepflux {

/// Covariances of n inputs, row by row; symmetric.
class Covariance {
 public:
  explicit Covariance(std::size_t n) : n_(n), values_(n * n, 0.0) {}
  [[nodiscard]] std::size_t size() const { return n_; }
  [[nodiscard]] double at(std::size_t i, std::size_t j) const { return values_[i * n_ + j]; }
  /// Adds to the entry and to its mirror image; the diagonal once.
  void add(std::size_t i, std::size_t j, double value);

 private:
  std::size_t n_;
  std::vector<double> values_;
};

/// Covariance of two functions of the same inputs, first order: sum over i, j of a_i V_ij b_j
/// [JCGM 100, eq. 13 and H.9]. With a == b it is the variance.
///
/// @param a, b  sensitivities, as many as inputs
/// @throws InputError  sizes do not fit
[[nodiscard]] double propagated_covariance(std::span<const double> a,
                                           std::span<const double> b,
                                           const Covariance& inputs);

/// Mean of values of one quantity by generalised least squares, w = V^-1 1 / (1' V^-1 1)
/// [Cox 2002, Mohr 2012], and whether the values agree within what they state.
struct WeightedMean {
  double value = 0.0;
  double standard_uncertainty = 0.0;  ///< as stated, before any Birge ratio
  std::vector<double> weights;        ///< they sum to 1
  double chi_square = 0.0;
  double degrees = 0.0;  ///< n - 1
  double chance = 1.0;   ///< of a chi square as large, were all uncertainties right
  /// sqrt(chi square / degrees), the ratio of outer to inner scatter [Birge 1932]; 0 for one value.
  double birge_ratio = 0.0;
  [[nodiscard]] bool consistent() const { return chance >= 0.05; }
};

/// @param values      one or more
/// @param covariance  positive definite
/// @throws InputError  sizes do not fit, or the covariance is not positive definite
[[nodiscard]] WeightedMean weighted_mean(std::span<const double> values,
                                         const Covariance& covariance);

/// One measurement among several of the same quantity.
struct Contribution {
  double value = 0.0;
  double own_uncertainty = 0.0;  ///< the part that no other measurement shares, > 0
  /// What others share by the same cause: relative standard uncertainty, and the cause's name.
  struct Shared {
    std::string cause;
    double relative = 0.0;
  };
  std::vector<Shared> shared;
  std::string source;
};

/// All measurements of one quantity together.
struct Combination {
  Measured value;  ///< the whole uncertainty, Birge ratio included where it applies
  double own_uncertainty = 0.0;              ///< without the shared causes
  std::vector<Contribution::Shared> shared;  ///< what is left of each cause
  WeightedMean mean;
  bool enlarged = false;  ///< the values disagree, so the uncertainty was multiplied by the ratio
};

/// Why a combined value lies outside of its parts, as a clause without a full stop; empty where it
/// does not. With errors in common some weights are below zero [JCGM 100, F.1.2; Cox 2002].
[[nodiscard]] std::string outside_parts_words(double combined, std::span<const double> parts);

/// Combines by covariance. A shared relative error scales with the common value, not with each
/// value on its own, so that weights do not favour low values (the trap of [Peelle 1987]). Where the
/// chi square has a chance below 5 %, the uncertainty without the shared causes is multiplied by
/// the Birge ratio; what all share cannot show in their scatter and stays.
///
/// @throws InputError  no contribution, or an own uncertainty that is not above zero
[[nodiscard]] Combination combine(std::span<const Contribution> contributions);

}  // namespace sweepflux
