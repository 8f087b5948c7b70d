#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace sweepflux {

/// Noise of a single reading: s^2 = offset^2 + (share * speed)^2.
struct NoiseModel {
  double offset_m_s = 0.04;
  double share = 0.03;  ///< relative

  [[nodiscard]] double sd_m_s(double speed_m_s) const;
};

/// Readings of one sweep, in the order of their positions.
struct SweepLine {
  std::vector<double> position;  ///< any unit, the same for all lines; rising strictly
  std::vector<double> speed_m_s;
  std::vector<bool> usable;  ///< false: censored, passed over
};

/// A reading that its neighbours do not bear out.
struct StrayReading {
  std::size_t line = 0;     ///< index of its SweepLine
  std::size_t reading = 0;  ///< index within it
  double expected_m_s = 0.0;
  double z_score = 0.0;  ///< off by so many standard deviations of what the others predict
};

/// Scatter that was found, with what it rests on.
struct Scatter {
  NoiseModel model;
  double freedom = 0.0;              ///< degrees of freedom left by the smooth profiles; 0: the
                                     ///< prior alone speaks
  std::vector<StrayReading> strays;  ///< kept out of the model, by line, then reading
};

/// Finds the noise of the readings from the lines' own roughness.
///
/// Each line is a smooth profile plus noise: a Gaussian process with a rational quadratic of shape
/// 1 [Rasmussen 2006, eq. 4.19 and 5.8], its height that of the line, one length for the streams
/// and one for their outer regions. Lengths, offset and share are those of the greatest posterior density.
/// The profile takes so much freedom as it needs, at any spacing of the positions; what is left
/// over is noise. The speed that stands in the noise is a running mean of three: the reading itself
/// would weigh low readings more than high ones. Readings beyond four standard deviations of what
/// their neighbours predict are kept out, and named. Noise below 0.3 % of the highest speed reads
/// as none.
///
/// @param lines  any number; those (and outer regions) with fewer than four usable readings are passed
/// over
/// @param prior  where the answer stays when the lines say little
/// @param prior_spread  standard deviation of ln(offset) and ln(share) about the prior, > 0
/// @param threads  at most; 0: as many as there are cores. The answer is the same
///
/// Accuracy: a round jet, seven sweeps of 41 or 61 angles, noise 3 % + 0.05 m/s: within 25 % in
/// nine runs of ten, also with readings below a tenth of the peak censored; with 21 angles within
/// 45 % (tests/derive/scatter_test.cpp). Cost: O(N), for N readings; beyond 2400 a part stands for
/// all.
[[nodiscard]] Scatter find_scatter(std::span<const SweepLine> lines,
                                   const NoiseModel& prior = {},
                                   double prior_spread = 0.6,
                                   int threads = 0);

/// Mean of each value and its two neighbours (one at the ends).
[[nodiscard]] std::vector<double> running_mean(std::span<const double> values);

}  // namespace sweepflux
