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

/// Posterior covariance of two weighted sums of a field.
struct SumCovariance {
  double first = 0.0;   ///< variance
  double second = 0.0;  ///< variance
  double both = 0.0;    ///< covariance
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
  ~OrdinaryKriging();
  OrdinaryKriging(OrdinaryKriging&&) noexcept;
  OrdinaryKriging& operator=(OrdinaryKriging&&) noexcept;

  [[nodiscard]] double mean() const;           ///< known, or its generalised least squares value
  [[nodiscard]] double mean_variance() const;  ///< 0 when known

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

  /// Covariance of two sums over nodes, of the field without noise and nugget. Cost: G N + G^2.
  ///
  /// @throws InputError  counts differ, or no nodes
  [[nodiscard]] SumCovariance covariance_of_sums(std::span<const PlanePoint> nodes,
                                                 std::span<const double> first,
                                                 std::span<const double> second) const;

  /// Integrals of the field without noise and nugget over nodes with weights [m2]. Cost: G N + G^2
  /// for the covariances, G N^2 for the variances inside `square`.
  ///
  /// @throws InputError  counts differ, or no nodes
  [[nodiscard]] FieldIntegrals integrate(std::span<const PlanePoint> nodes,
                                         std::span<const double> weights) const;

 private:
  struct Solved;
  std::unique_ptr<const Solved> solved_;
};

}  // namespace sweepflux
