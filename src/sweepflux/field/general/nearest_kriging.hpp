#pragma once

#include "sweepflux/base/interrupt.hpp"
#include "sweepflux/field/general/neighbours.hpp"
#include "sweepflux/field/general/ordinary_kriging.hpp"

#include <cstddef>
#include <memory>
#include <span>

namespace sweepflux {

/// How kriging from nearest readings trades time for closeness to the exact answer.
struct NearestOptions {
  std::size_t neighbours = 48;  ///< >= 1; readings that each wanted place sees
  std::size_t block = 64;       ///< >= 1; wanted places that may share one set of readings
  double block_share = 0.2;     ///< 0 to 1: radius of such a block / distance to its last reading
  bool condense = true;         ///< average readings over cells where that harms nothing
  std::size_t dense = 2000;     ///< >= 1; most places in the exact solve behind the integrals
  Search search = Search::tree;
  int threads = 0;  ///< 0: as many as the machine has
};

/// A rectangle of places, index = iz * ny + iy.
struct MapGrid {
  double y_min_m = 0.0;
  double z_min_m = 0.0;
  double step_y_m = 0.0;  ///< > 0
  double step_z_m = 0.0;  ///< > 0
  std::size_t ny = 0;     ///< >= 1
  std::size_t nz = 0;     ///< >= 1

  [[nodiscard]] PlanePoint at(std::size_t iy, std::size_t iz) const {
    return {y_min_m + static_cast<double>(iy) * step_y_m,
            z_min_m + static_cast<double>(iz) * step_z_m};
  }
};

/// Kriging of more readings than a dense matrix can hold: each wanted place sees its nearest
/// readings, in the covariance's own measure of distance [Vecchia 1988; Datta 2016]. Readings are
/// first averaged over cells much smaller than the range (see condense()), so that the nearest of
/// a million readings along few sweeps do not all lie in one of them. The constant mean is that of
/// the readings seen; wanted places close together share their readings' factor.
///
/// With as many neighbours as readings and no condensing this is OrdinaryKriging.
/// Nugget::noise only.
///
/// Accuracy and cost: tests/bench/nearest_kriging.cpp. Same bits for any number of threads.
class NearestKriging {
 public:
  /// @param values  merged()
  /// @throws InputError      an option or the model is out of range, Nugget::structure
  /// @throws NumericalError  the exact solve of the coarse cells is singular
  NearestKriging(const ScatteredValues& values,
                 const KrigingModel& model,
                 const NearestOptions& options = {});

  /// @throws InputError      a place is not finite
  /// @throws NumericalError  a small matrix is singular
  /// @throws Interrupted     progress says so
  [[nodiscard]] Interpolated predict(std::span<const PlanePoint> wanted,
                                     const Progress& progress = {}) const;
  [[nodiscard]] Interpolated predict(const MapGrid& grid, const Progress& progress = {}) const;

  /// Integrals over the grid's rectangle (trapezoid rule), with their covariance, from the exact
  /// solve of coarse cells; the variance inside `square` is the map's. Where cells above 0.4 of a
  /// range would be needed to make the solve small enough, the values are the map's sums, and the
  /// variances an upper bound.
  ///
  /// @param map  of this grid, made by predict()
  /// @throws InputError  sizes differ
  [[nodiscard]] FieldIntegrals integrate(const MapGrid& grid, const Interpolated& map) const;

  [[nodiscard]] std::size_t condensed_readings() const;  ///< places that the neighbours come from
  [[nodiscard]] std::size_t dense_readings() const;      ///< places in the exact solve

 private:
  struct Solved;
  std::shared_ptr<const Solved> solved_;
};

}  // namespace sweepflux
