#pragma once

#include "sweepflux/field/stream/upper_factor_private.hpp"

#include <functional>
#include <vector>

namespace sweepflux {

/// The residual that all planes share, as jets are similar: a plane's coefficients are those of its
/// own times `own` and these times the root of 1 - own^2. Standard normal before any reading; the
/// readings of each plane add a quadratic form to their log density.
class CommonResidual {
 public:
  void clear();
  /// Adds pull'c - c' information c / 2; the upper half of the matrix, `stride` a row.
  void add(const std::vector<float>& information, std::size_t stride,
           const std::vector<double>& pull);
  /// Logarithm of the mean of the density that was added, under the standard normal; not a number
  /// where it cannot be computed. What follows is of the posterior, once after this.
  [[nodiscard]] double log_evidence();
  [[nodiscard]] const std::vector<double>& mean() const { return mean_; }
  [[nodiscard]] const UpperFactor& precision() const { return precision_; }
  /// Makes normal equations of those that take this residual as zero.
  ///
  /// @param in_common  of each parameter, what it pulls of this; overwritten
  void correct(std::vector<std::vector<double>>& in_common, std::vector<double>& hessian,
               std::vector<double>& gradient) const;
  [[nodiscard]] std::vector<double> draw(const std::function<double()>& normal) const;

 private:
  UpperFactor precision_;
  std::vector<double> mean_;  ///< what pulls, until log_evidence
};

}  // namespace sweepflux
