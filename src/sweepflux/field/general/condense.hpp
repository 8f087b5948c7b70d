#pragma once

#include "sweepflux/field/general/interpolants.hpp"
#include "sweepflux/field/general/ordinary_kriging.hpp"

#include <array>
#include <cstddef>
#include <vector>

namespace sweepflux {

/// Readings averaged over small cells, so that millions along a few sweeps become the few
/// thousand numbers that they amount to.
struct Condensed {
  ScatteredValues values;   ///< noise_sd holds all noise: readings', nugget's, and the cells' own
  double cell_share = 0.0;  ///< side of the cells in units of the range; 0: nothing was averaged
  /// Standard deviations of a cell's readings about their mean place, along the two directions
  /// in which they do not correlate; as steps. Empty when nothing was averaged.
  std::vector<std::array<PlanePoint, 2>> spread;
};

/// Averages readings over cells of `share` ranges (along each axis of the covariance). Each mean,
/// with weights 1 / noise variance, stands at the mean place of its readings. What the field may
/// do inside the cell, so that its mean over the readings is not its value at their mean place,
/// is computed from the covariance (from up to 12 readings a cell) and added to the noise: the
/// answer stays honest for any share.
///
/// @param values  merged()
/// @param share   > 0
/// @throws InputError  share <= 0
[[nodiscard]] Condensed condense(const ScatteredValues& values,
                                 const KrigingModel& model,
                                 double share);

/// The coarsest of the shares 0.25, 0.18, 0.12 ... 0.02 at which the cells' own noise stays below
/// `most_added` of the noise of their means, in the median
/// cell of several readings. Without noise nothing is
/// averaged, nor when there would be nothing to gain.
[[nodiscard]] Condensed condense_harmlessly(const ScatteredValues& values,
                                            const KrigingModel& model,
                                            double most_added = 0.05);

/// Shares made coarser until no more than `most` cells are left.
[[nodiscard]] Condensed condense_to(const ScatteredValues& values,
                                    const KrigingModel& model,
                                    std::size_t most);

}  // namespace sweepflux
