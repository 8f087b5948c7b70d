#pragma once

#include "sweepflux/base/interrupt.hpp"
#include "sweepflux/derive/sample/samples.hpp"

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <vector>

namespace sweepflux {

struct StreamScales;
struct SurveyStream;

/// How well the sampler did.
struct SamplerReport {
  std::size_t draws = 0;
  double effective_draws = 0.0;   ///< independent ones that tell as much
  double apart = 0.0;             ///< means of the two halves: of ln flow or ln momentum flux of any
                                  ///< plane, the largest, in standard deviations
  bool converged = false;         ///< apart <= 0.4: twice what 50 independent draws a half would show
  std::size_t evaluations = 0;
  std::size_t of_first_half = 0;  ///< so many of the draws, and the first
};

struct PosteriorOptions {
  std::size_t draws = 512;        ///< of two independent halves, each by its evidence
  std::uint64_t seed = 1;
  int threads = 0;                ///< the answer is the same for any number
  double expected_speed_m_s = 0.0;  ///< peak at the first plane, for when nothing was read; > 0
                                    ///< then
  double prior_speed_m_s = 0.0;   ///< fixes the prior's scale of speed, for calibration studies; 0:
                                  ///< the mean of the three highest readings
};

/// Weighted draws from the posterior of the one model of a stream through all planes of a survey
/// (DEVELOPERS.md states its equations and priors). All draws weigh the same.
class StreamPosterior {
 public:
  struct Parts;

  StreamPosterior();
  /// Of draws that are there already.
  explicit StreamPosterior(std::unique_ptr<Parts> parts);
  ~StreamPosterior();
  StreamPosterior(StreamPosterior&&) noexcept;
  StreamPosterior& operator=(StreamPosterior&&) noexcept;

  /// Samples the posterior. Planes without samples are carried along by the model; none has any: the
  /// prior itself.
  ///
  /// @param planes  nearest first
  /// @throws Interrupted  the user stopped it
  static StreamPosterior sample(const std::vector<PlaneSamples>& planes, const Outlet& outlet,
                                const PosteriorOptions& options, const Progress& progress = {});

  [[nodiscard]] std::size_t draws() const;
  [[nodiscard]] std::size_t planes() const;
  /// Height of the floor, where it is known.
  [[nodiscard]] std::optional<double> floor_m(std::size_t plane) const;
  /// Convergence is not in it yet: that takes integrals (integrate/known_stream).
  [[nodiscard]] const SamplerReport& report() const;

  /// Axial speeds [m/s] of one draw at places of a plane, >= 0; of the stream alone, without the
  /// room's drift. Nothing flows below the floor.
  void speeds(std::size_t draw, std::size_t plane, std::span<const PlanePoint> at,
              std::span<float> out) const;

  /// What the draw says of things other than the stream.
  struct Extras {
    int cores = 1;
    double drift_m_s = 0.0, offset_m_s = 0.0;
    double noise_factor = 1.0;
  };
  [[nodiscard]] Extras extras(std::size_t draw) const;

  /// Place and size of the stream of a draw: where to lay out nodes, not a result.
  struct Extent {
    PlanePoint middle;
    double half_width_1_m = 0.0, half_width_2_m = 0.0;
    double cosine = 1.0, sine = 0.0;  ///< of the first's direction from y
  };
  [[nodiscard]] Extent extent(std::size_t draw, std::size_t plane) const;

  /// One sweep as the others predict it, by weights of the draws that take its readings out
  /// [Gelfand & Dey 1994], the largest of them cut [Ionides 2008].
  struct LeftOut {
    double rms_error_m_s = 0.0;
    double z_score = 0.0;   ///< rms of error over predicted standard deviation; near 1 when all is well
    double chance = 1.0;    ///< of a z score as large by chance
    double effective_draws = 0.0;
  };
  /// @param sweep  index in the plane's samples; one without readings above the starting speed, or
  ///               alone in the survey, is not predicted: all zero, chance 1
  [[nodiscard]] LeftOut leave_out(std::size_t plane, std::size_t sweep) const;

  /// What it is made of, for those that include stream_posterior_private.hpp.
  [[nodiscard]] const Parts& parts() const { return *parts_; }

 private:
  std::unique_ptr<Parts> parts_;
};

}  // namespace sweepflux
