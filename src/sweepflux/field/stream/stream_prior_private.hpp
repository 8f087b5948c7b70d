#pragma once

#include "sweepflux/capture/survey/survey.hpp"
#include "sweepflux/field/stream/normal_mixture.hpp"

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace sweepflux {

/// One core of a stream in one plane: A T(s) (1 - dip exp(-(p^2 + q^2) / h^2)), where p and q are
/// the turned coordinates over the half widths and s = (|p|^m + |q|^(m k))^(n/m). Lengths in units
/// of StreamScales::length_m from the outlet's middle, speeds in units of its speed.
struct Core {
  double amplitude = 1.0;
  double y = 0.0, z = 0.0;
  double a = 1.0, b = 1.0;  ///< half widths
  double cosine = 1.0, sine = 0.0;
  double k = 1.0;
};

inline constexpr int most_cores = 3;

/// The stream in one plane. T(s) = (1 + (2^xi - 1) s)^(-1/xi), so T(1) = 1/2: xi = -0.5 with n
/// = 1.5 is the 3/2-power profile, xi -> 0 with n = 2 the Gaussian, xi = 0.5 with n = 2 that of
/// constant viscosity; n above 2 is flat.
struct PlaneStream {
  int cores = 1;
  Core core[most_cores];
  double n = 2.0, xi = 0.0, m = 2.0;
  double dip = 0.0, h = 0.6;                           ///< of the first core
  double bump_sd = 0.0, ring_sd = 0.0, lobe_sd = 0.0;  ///< of the residual's columns
  double y = 0.0, z = 0.0, a = 1.0, b = 1.0, cosine = 1.0, sine = 0.0;  ///< frame of the residual
  double growth = 1.0;  ///< d ln(flow) / d ln(distance), for the entrained air
};

/// The stream through all planes of a survey, with what the readings add to it.
struct SurveyStream {
  std::vector<PlaneStream> planes;
  double noise_factor = 1.0;  ///< of the noise that was found along the sweeps
  double noise_share = 0.01;  ///< further noise, relative to the speed
  double drift = 0.0;         ///< of the room's air along the stream
  double own_residual = 1.0;  ///< share of each plane's residual that no other has
  double offset = 0.0;        ///< common to all readings: of the probe, of the ambient reading
};

/// What the prior is given.
struct StreamScales {
  double length_m = 1.0;   ///< half width that the outlet lets expect at the reference plane
  double speed_m_s = 1.0;  ///< mean of the three highest readings, or the speed expected
  std::vector<double> downstream;  ///< of each plane, in units of length_m, rising
  std::size_t reference = 0;       ///< plane that parameters are stated at
  OutletShape shape = OutletShape::round;
  double extent_y = 0.0, extent_z = 0.0;  ///< of the outlet, in units of length_m
  double offset_sd = 0.0;                 ///< in units of speed_m_s
  double drift_sd = 0.0;  ///< slab of the drift along the stream; 0: the air was read
};

/// Half width of the stream that an outlet of this shape sends out, across its narrow side for a
/// slot: 0.094 x of the round free jet [Hussein 1994], the outlet's own half size near by.
[[nodiscard]] double expected_half_width_m(const Outlet& outlet, double downstream_m);

/// Probability of a room whose air drifts along, where that was not measured. An assumption.
inline constexpr double drift_probability = 0.5;
/// Its standard deviation along the stream [m/s], the root mean square over the rooms of six occupied
/// houses: medians of the speed .042, .043 and .102 m/s [Matthews 1987], 1.54 standard deviations of
/// one of three normal parts. Against the stream half as much: an assumption.
inline constexpr double drift_of_room_m_s = 0.044;
/// That of a room at rest, as a share of it: .011 m/s with nobody in it [Matthews 1987].
inline constexpr double rest_of_drift = 0.16;

/// Every parameter of a stream of so many cores as a function of standard normal variables. The
/// table of priors with their sources stands in DEVELOPERS.md; it is this class.
class StreamPrior {
 public:
  /// @param cores  1 to the length of probabilities()
  StreamPrior(const StreamScales& scales, int cores);

  /// Of 1, 2, ... cores.
  [[nodiscard]] static std::vector<double> probabilities(OutletShape shape);

  /// Length of the vector that `stream` takes.
  [[nodiscard]] std::size_t dimension() const;
  /// The entries that the stream is made of, rising.
  [[nodiscard]] std::vector<std::size_t> entries() const;
  /// Entries that make up something that few sweeps may miss: the ovality, a further core.
  [[nodiscard]] std::vector<std::vector<std::size_t>> blocks() const;
  [[nodiscard]] int cores() const { return cores_; }
  /// Entries of a core's place and shape (0: of the first one, with the shape of all).
  [[nodiscard]] std::vector<std::size_t> entries_of_core(int core) const;
  [[nodiscard]] const PlaneStream& reference(const SurveyStream& stream) const {
    return stream.planes[scales_.reference];
  }
  /// Sets the entries of the strengths as near to these as the prior allows.
  void set_strengths(std::vector<double>& z, std::span<const double> strengths) const;
  /// Entries that change how far readings scatter, but no mean.
  [[nodiscard]] std::vector<std::size_t> spreads() const;
  /// Whether the stream in this plane depends on the entry.
  [[nodiscard]] bool touches(std::size_t entry, std::size_t plane) const;
  /// Each entry bent as its prior asks: what the stream depends on without kinks.
  [[nodiscard]] std::vector<double> straight(std::span<const double> z) const;
  [[nodiscard]] SurveyStream stream(std::span<const double> z) const;

 private:
  // Of straight values.
  void first_core(std::span<const double> t, PlaneStream& s) const;
  void further_core(std::span<const double> t, PlaneStream& s) const;
  PlaneStream carried(const PlaneStream& at_reference,
                      std::span<const double> t,
                      std::size_t plane) const;

  StreamScales scales_;
  int cores_ = 1;
  bool slot_ = false;
  bool tall_ = true;                                 ///< slot: its long side stands
  std::vector<std::optional<NormalMixture>> bends_;  ///< of each entry; none: a standard normal
};

}  // namespace sweepflux
