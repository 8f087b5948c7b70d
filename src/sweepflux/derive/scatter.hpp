#pragma once

#include <span>
#include <vector>

namespace sweepflux {

/// Noise of a single reading: s^2 = offset^2 + (share * speed)^2.
struct NoiseModel {
  double offset_m_s = 0.03;
  double share = 0.03;  ///< relative

  [[nodiscard]] double sd_m_s(double speed_m_s) const;
};

/// Readings of one sweep, in the order of their positions, none at the same position.
struct SweepLine {
  std::vector<double> position;  ///< any unit, rising strictly
  std::vector<double> speed_m_s;
  std::vector<bool> usable;  ///< false: censored; parts the line in two
};

/// Scatter that was found, with what it rests on.
struct Scatter {
  NoiseModel model;
  double effective_count = 0.0;  ///< independent pieces of evidence; 0: the prior alone
  int order = 0;                 ///< of the differences; 0: the prior alone
};

/// Finds the noise of the readings from the lines' own roughness.
///
/// Differences of high order along each line, with weights for uneven positions, take the smooth
/// profile out [Gasser 1986, carried to higher orders]; what is left is noise. offset and share
/// follow by maximum posterior with Student errors, so that a few wild readings do not count as
/// noise. Of several orders the one that leaves least is taken: a smooth profile that leaks in can
/// only add. The speed that stands in the model is a running mean of three, never the reading.
///
/// @param lines  any number; too short ones are passed over
/// @param prior  where the answer stays when the lines say little
/// @param prior_spread  standard deviation of ln(offset) and ln(share) about the prior, > 0
///
/// Accuracy: 41 angles over a jet, 3 % + 0.05 m/s: within 25 % (tests/derive/scatter_test.cpp).
[[nodiscard]] Scatter find_scatter(std::span<const SweepLine> lines,
                                   const NoiseModel& prior = {},
                                   double prior_spread = 1.0);

/// Mean of each value and its two neighbours (one at the ends).
[[nodiscard]] std::vector<double> running_mean(std::span<const double> values);

}  // namespace sweepflux
