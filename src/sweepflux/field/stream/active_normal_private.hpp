#pragma once

#include "sweepflux/field/stream/population_sampler.hpp"

#include <cstddef>
#include <vector>

namespace sweepflux {

/// Factorises a symmetric matrix of d rows in place, lower triangle, row by row: A = L L'. Squared
/// pivots are held to the least that they can be but for rounding.
void factorise_lower(std::vector<double>& matrix, std::size_t d, double least_pivot_2);

/// Solves L L' x = b in place.
void solve_factored(const std::vector<double>& lower, std::size_t d, std::vector<double>& b);

/// A normal distribution of some coordinates of a longer vector.
class ActiveNormal {
 public:
  /// @param active      coordinates, rising
  /// @param mean        of each of them
  /// @param covariance  row by row; the lower triangle is read
  ActiveNormal(const std::vector<std::size_t>& active, std::vector<double> mean,
               std::vector<double> covariance);

  /// The one that fits some particles, a little wider than they are, so that a population that has
  /// lost some of its spread finds it again.
  static ActiveNormal fitting(const std::vector<const std::vector<double>*>& members,
                              const std::vector<std::size_t>& active);

  /// Half the squared distance from the mean, in its own standard deviations.
  [[nodiscard]] double half_square(const std::vector<double>& z) const;
  /// Logarithm of its density over that of the standard normal of the same coordinates.
  [[nodiscard]] double log_ratio(const std::vector<double>& z) const;
  /// mean + keep (z - mean) + sqrt(1 - keep^2) of a new draw.
  void towards(std::vector<double>& z, double keep, Dice& dice) const;

 private:
  std::vector<std::size_t> active_;
  std::vector<double> mean_, factor_;
  double log_pivots_ = 0.0;
};

/// Half the squared length of the active coordinates.
[[nodiscard]] double half_norm(const std::vector<double>& z, const std::vector<std::size_t>& active);

}  // namespace sweepflux
