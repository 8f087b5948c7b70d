#pragma once

#include "sweepflux/derive/sample/samples.hpp"
#include "sweepflux/field/stream/stream_prior_private.hpp"

#include <array>
#include <vector>

namespace sweepflux {

/// Readings of one plane as the likelihood takes them, in the stream's units. Neighbours along a
/// sweep no farther apart than a structure that a jet can have there are one row: their mean, and
/// the stream's mean over two places that have the mean and the spread of theirs, so nothing is
/// lost up to the third derivative. What decides is where they stand and their mean, never which of
/// them happen to be above the limit: that would select by noise. Near the limit each is a row of
/// its own; of the censored, two neighbours are one site.
struct PlaneReadings {
  struct Row {
    double value = 0.0;
    double noise_2 = 0.0;   ///< variance of the value, by the noise found along the sweeps
    double count = 1.0;     ///< readings in it
    double sideways = 0.0;    ///< share of the sideways speed in the value
    int sweep = 0;
  };
  struct Censored {
    double limit = 0.0;
    double noise_2 = 0.0;
    int count = 1;          ///< readings at its two places, one or two: all are below the limit
    double sideways = 0.0;
    int sweep = 0;
  };
  std::vector<Row> rows;
  std::vector<Censored> censored;
  std::vector<float> y, z;  ///< places; readings that stand alone have one, others two
  /// Of each row, then of each censored one: where its two places stand in these.
  std::vector<std::array<std::size_t, 2>> places;
  double downstream = 1.0;
  std::size_t sweeps = 0;   ///< with a gain and a height's error of their own; 0: too many for that
  double gain_sd = 0.01;    ///< relative, of a sweep
  double height_sd = 0.0;   ///< of a sweep's height
};

/// How samples of a plane become readings in the stream's units: about the outlet's middle, turned
/// over if `mirrored`, so that a survey and its mirror image are one to the sampler.
struct ReadingFrame {
  double length_m = 1.0;
  double speed_m_s = 1.0;
  double finest_m = 0.02;   ///< farthest that readings of one row lie apart
  bool mirrored = false;
};

[[nodiscard]] PlaneReadings plane_readings(const PlaneSamples& plane, const ReadingFrame& frame);

/// To nine digits, so that what another unit rounds otherwise gives the same bits from here on.
[[nodiscard]] double nine_digits(double v);

}  // namespace sweepflux
