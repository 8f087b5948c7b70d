#pragma once

#include "sweepflux/base/geometry.hpp"
#include "sweepflux/derive/sample/samples.hpp"
#include "sweepflux/field/stream/candidates_private.hpp"
#include "sweepflux/field/stream/mean_shapes_private.hpp"

#include <memory>
#include <vector>

namespace sweepflux {

/// What the air of a room that is not at rest may drift by, standard deviation: an assumption, no
/// published source. Readings of a jet hardly tell a drift from a fat tail, so a room that was not
/// read with the fan off is fitted both at rest and drifting.
inline constexpr double drift_of_room_m_s = 0.08;

/// And how far it may drift against the stream: a reading under nought is not to be had, so more of
/// it would only pass for a sharper tail. An assumption.
inline constexpr double most_against_stream_m_s = 0.06;

/// The samples of one or more planes as arrays; samples of one plane lie together, in order.
struct FitData {
  struct Plane {
    double downstream_m = 0.0;
    Window window;                  ///< of the samples
    std::vector<double> heights_m;  ///< of the sweeps, rising, equal ones once
    double row_gap_m = 0.0;         ///< median step from one height to the next
    bool has_floor = false;
    double floor_m = 0.0;
    PlanePoint outlet;
    double outlet_half_y_m = 0.0, outlet_half_z_m = 0.0;
    Eigen::Index begin = 0, end = 0;  ///< its samples
  };
  std::vector<Plane> planes;
  Array y, z, v;  ///< [m], [m], [m/s]; v of a censored sample is its limit
  Array sd;       ///< noise of each sample [m/s]
  Array smooth;   ///< running mean of the speed along the sweep [m/s]
  std::vector<char> censored;
  std::vector<int> sweep;  ///< counts on through all planes
  std::vector<int> plane;
  int sweeps = 0;
  double peak_m_s = 0.0;  ///< largest smoothed speed
  double sweep_gain_sd = 0.0;
  double height_sd_m = 0.0;
  double background_sd_m_s = 0.0;  ///< of air that drifts along with the stream
  double unread_drift_m_s = 0.0;   ///< the same if the room is not at rest after all; nought where
                                   ///< it was read with the fan off

  [[nodiscard]] Eigen::Index size() const { return y.size(); }
};

/// Median step between different heights; nought for fewer than two.
[[nodiscard]] double median_gap(std::vector<double> heights_m);

[[nodiscard]] FitData gather(const std::vector<const PlaneSamples*>& planes);

/// Every so-manieth sample of each sweep, so that about `most` stay, with the noise of each lowered
/// to keep what all of them say; the same data when there are no more.
[[nodiscard]] FitData thinned(const FitData& data, Eigen::Index most);

/// Order of the structure parameters behind the shape's and the background.
enum Structure { virtual_origin, decay, slope_y, slope_z, growth_z, common_count };

/// At rest, or as it was read with the fan off; or drifting, of a room not read.
enum class RoomAir { at_rest, drifting };

/// Geometric mean of the planes' distances downstream: where the shape of all of them is held.
[[nodiscard]] double reference_distance_m(const FitData& data);

/// Whether the stream there has not outgrown its outlet, so that `outlet_shape` differs from the
/// Gaussian.
[[nodiscard]] bool flat_as_outlet(const FitData& data);

/// A mean shape carried through all planes by the similarity of jets: positions shrink towards
/// the outlet as the distance from a virtual origin, the peak falls so that momentum stays, and
/// each plane may differ a little. With one plane only the shape remains.
///
/// Air that drifts along everywhere is no part of the stream: one more parameter, the background,
/// stands in what a reading shows and not in what is integrated.
///
/// Parameters: the shape's, the background, then (more than one plane) virtual origin, departure of
/// the decay exponent, axis slopes in y and z, exponent of growth in z, and for each plane the
/// logarithms of its own amplitude and widths; for `changing_core` at last the slopes of flatness
/// and dip.
class MeanModel {
 public:
  MeanModel(Candidate candidate, const FitData& data, RoomAir air = RoomAir::at_rest);

  [[nodiscard]] int size() const { return shape_->size() + 1 + structure_size_; }
  [[nodiscard]] int background_index() const { return shape_->size(); }
  [[nodiscard]] int shape_size() const { return shape_->size(); }
  [[nodiscard]] bool pooled() const { return structure_size_ > 0; }
  [[nodiscard]] Candidate candidate() const { return candidate_; }

  /// The stream alone.
  [[nodiscard]] Array evaluate(const Vector& t, int plane, const Array& y, const Array& z) const;
  /// What all the samples show, in their order: stream and background.
  [[nodiscard]] Array evaluate_all(const Vector& t) const;
  /// Half-width coordinates of the reference plane.
  void coordinates(
      const Vector& t, int plane, const Array& y, const Array& z, Array& p, Array& r) const;
  /// Square root of the widened mean over its largest, times the plane's amplitude; >= 0.02 of it.
  [[nodiscard]] Array envelope(const Vector& t, int plane, const Array& y, const Array& z) const;
  /// Logarithm of the distance from the virtual origin, relative to the reference plane.
  [[nodiscard]] double log_distance(const Vector& t, int plane) const;
  [[nodiscard]] double amplitude(const Vector& t, int plane) const;
  /// Heights of all planes' sweeps carried to `plane` along the fitted rays; rising.
  [[nodiscard]] std::vector<double> carried_heights(const Vector& t, int plane) const;
  /// Half-widths a and b of the shape in `plane` [m].
  [[nodiscard]] EllipseFrame frame_in_plane(const Vector& t, int plane) const;

  /// Logarithm of how much the candidate is believed in before any reading: nought, but less for
  /// one that cannot be as flat as the outlet lets expect.
  [[nodiscard]] double log_prior_odds() const;
  /// Prior standard deviations of all parameters; scales of those that may stray.
  [[nodiscard]] Vector prior_sd(const Vector& t) const;

  /// The box that parameters stay in.
  [[nodiscard]] Vector lower() const;
  [[nodiscard]] Vector upper() const;
  /// Prior knowledge as residuals: the sum of their squares is twice its negative logarithm.
  [[nodiscard]] Vector prior_residuals(const Vector& t) const;

  struct Fitted {
    Vector t;
    double cost = 0.0;
    double misfit = 0.0;  ///< rms of (mean - reading) over the rms noise, uncensored samples
  };
  /// Fits to all samples: readings by their noise, censored ones one-sided, priors as rows. When
  /// the mean misfits, once more with the noise widened so that the priors keep their weight.
  [[nodiscard]] Fitted fit() const;
  [[nodiscard]] double misfit(const Vector& t) const;
  [[nodiscard]] double misfit(const Vector& t, int plane) const;

 private:
  struct Scales;
  [[nodiscard]] Scales scales(const Vector& t, int plane) const;
  [[nodiscard]] Vector shape_at(const Vector& t, int plane) const;
  [[nodiscard]] Array shown(const Vector& t, const FitData& data) const;
  [[nodiscard]] Vector residuals(const Vector& t, double noise_factor) const;
  [[nodiscard]] Vector structure_prior_mean() const;
  [[nodiscard]] Vector structure_prior_sd() const;

  Candidate candidate_;
  const FitData& data_;
  double background_sd_m_s_ = 0.0;
  double background_low_m_s_ = 0.0;
  double reference_m_ = 1.0;  ///< downstream distance of the reference plane
  PlanePoint outlet_;
  FitData thin_;  ///< what the shape is fitted to: neighbours along a sweep say almost the same
  FitData reference_;  ///< all samples carried nominally to the reference plane
  ShapeSetting setting_;
  std::unique_ptr<MeanShape> shape_;
  std::unique_ptr<MeanShape> gaussian_;
  int structure_size_ = 0;
};

}  // namespace sweepflux
