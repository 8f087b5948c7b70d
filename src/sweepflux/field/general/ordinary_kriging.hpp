#pragma once

#include "sweepflux/field/general/interpolants.hpp"
#include "sweepflux/field/general/kernel.hpp"

#include <memory>
#include <optional>
#include <span>
#include <vector>

namespace sweepflux {

/// What the nugget stands for.
enum class Nugget {
  noise,     ///< error of reading: the map filters it out, also at the readings' own places
  structure  ///< unresolved detail of the field: readings are honoured, elsewhere it adds variance
};

/// All that kriging needs to know beforehand.
struct KrigingModel {
  Covariance covariance;
  double nugget = 0.0;  ///< variance, >= 0, alike at every reading, on top of their noise_sd^2
  Nugget nugget_is = Nugget::noise;
  std::optional<double> known_mean;  ///< empty: one unknown constant (ordinary kriging)
};

/// Variance of a reading's noise: its own and the nugget.
[[nodiscard]] inline double noise_variance(const ScatteredValues& values,
                                           const KrigingModel& model,
                                           std::size_t i) {
  const double sd = values.noise_sd.empty() ? 0.0 : values.noise_sd[i];
  return model.nugget + sd * sd;
}

/// A left-out reading predicted from all others.
struct LeftOutPrediction {
  double value = 0.0;
  double variance = 0.0;  ///< of the reading: its noise and the nugget are in
};

/// Integrals of a field u over weighted nodes, with their joint covariance.
struct FieldIntegrals {
  double flow = 0.0;    ///< sum of w u            [m3/s for u in m/s, w in m2]
  double square = 0.0;  ///< sum of w (u^2 + var)  [m4/s2]; times density: momentum
  double flow_variance = 0.0;
  double square_variance = 0.0;  ///< first order in the field's error (delta method)
  double covariance = 0.0;       ///< of the two
};

/// Exact kriging by one dense factor [Isaaks 1989, chapter 12; Rasmussen 2006, chapter 2].
///
/// Linear in the values; a constant added to all values is added to the map; values that all
/// agree give that value (known mean: only near readings). Row order does not matter beyond
/// rounding.
///
/// Cost: N^3/3 once, then N per value and N^2 per variance. Safe from several threads.
class OrdinaryKriging {
 public:
  /// @param values  no two places equal (see merged())
  /// @throws InputError      sizes, not finite, model out of range, two places equal
  /// @throws NumericalError  the matrix is too large, or singular to rounding
  OrdinaryKriging(const ScatteredValues& values, const KrigingModel& model, int threads = 0);

  [[nodiscard]] double mean() const;  ///< known, or its generalised least squares value

  /// Values, and their variances unless not wanted. Nugget::structure: the place of a reading
  /// without noise_sd gives that reading with variance 0; any other place has the nugget in its
  /// variance.
  [[nodiscard]] Interpolated predict(std::span<const PlanePoint> wanted,
                                     bool variance = true) const;

  /// One a reading, from the one factor at hand [Dubrule 1983].
  [[nodiscard]] std::vector<LeftOutPrediction> leave_one_out() const;

  /// ln of the density of the values; an unknown mean stands at its best value.
  [[nodiscard]] double log_likelihood() const;
  /// ln of the density of what an unknown mean leaves over [Patterson 1971]; of all values when
  /// the mean is known.
  [[nodiscard]] double restricted_log_likelihood() const;

  /// Gives integrals over nodes the covariance of the field without noise and nugget.
  ///
  /// @param flow, square  loads of the two sums, one a node. Cost: G N + G^2
  /// @throws InputError   counts differ, or no nodes
  void add_covariance(std::span<const PlanePoint> nodes,
                      std::span<const double> flow,
                      std::span<const double> square,
                      FieldIntegrals& to) const;

  /// Integrals of the field without noise and nugget over nodes with weights [m2]. Cost: G N + G^2
  /// for the covariances, G N^2 for the variances inside `square`.
  ///
  /// @throws InputError  counts differ, or no nodes
  [[nodiscard]] FieldIntegrals integrate(std::span<const PlanePoint> nodes,
                                         std::span<const double> weights) const;

 private:
  struct Solved;
  std::shared_ptr<const Solved> solved_;
};

}  // namespace sweepflux
