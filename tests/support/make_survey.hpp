#pragma once

#include "sweepflux/capture/survey/survey.hpp"
#include "sweepflux/derive/sample/samples.hpp"
#include "tests/support/dice.hpp"
#include "tests/support/known_fields.hpp"

#include <cstdint>
#include <filesystem>
#include <map>
#include <optional>
#include <vector>

namespace sweepflux::test {

/// How heights are spread over where sweeps make sense.
enum class HeightRule {
  to_the_ends,  ///< evenly, the first and last at the ends; each distance on its own
  alike,        ///< centres of equal cells, off by one common draw, the same at all distances
  dealt_round   ///< as `alike`, with one fine comb dealt round to the distances
};

/// How a known field is measured. The defaults are those of an ordinary day.
struct SurveyPlan {
  Motion motion = Motion::swivel;
  std::vector<double> distances_m{1.8};
  /// Per distance; empty: `count` heights spread evenly over where sweeps make sense.
  std::vector<std::vector<double>> heights_m;
  int count = 5;        ///< heights a distance
  double jitter = 0.3;  ///< share of the spacing by which a height is off
  HeightRule rule = HeightRule::to_the_ends;
  int angles = 41;
  double span_deg = 24.0;  ///< to either side
  double pivot_m = 0.0;    ///< outlet in front of the turntable's axis
  int repeats = 1;
  double vane_m = 0.0;  ///< diameter of the head; 0: a point
  bool thrust = true;
  std::optional<Measured> ambient_speed_m_s;  ///< what the survey states
  std::uint64_t seed = 1;

  double noise_relative = 0.03;  ///< of one reading alone
  double noise_m_s = 0.05;       ///< of one reading alone
  double starting_speed_m_s = 0.3;
  double sweep_gain = 0.0;          ///< standard deviation of a relative error common to a sweep
  double scale_uncertainty = 0.02;  ///< relative; stated, and one draw for the survey
  double offset_uncertainty_m_s = 0.02;  ///< stated, and one draw for the survey
  bool common_errors = true;             ///< false: stated, but the draw is zero
};

/// Everything exact: no noise, no threshold, no common error; `count` and `angles` stay.
[[nodiscard]] SurveyPlan without_errors(SurveyPlan plan);

/// From the outlet's plane to the probe, when the fan faces it.
[[nodiscard]] double downstream_of(const SurveyPlan& plan, double distance_m);

/// The heights that `plan` takes at one of its distances, rising.
[[nodiscard]] std::vector<std::vector<double>> heights_of(const KnownField& field,
                                                          const SurveyPlan& plan);

/// What a survey says before its first sweep.
[[nodiscard]] Survey survey_without_sweeps(const KnownField& field, const SurveyPlan& plan);

/// `plan.angles` over `plan.span_deg` to either side: directions in which the fan sees the probe.
[[nodiscard]] std::vector<double> even_angles_rad(const SurveyPlan& plan);

/// A rig before a known field, sweep by sweep; its errors are drawn as it goes.
class KnownRig {
 public:
  KnownRig(const KnownField& field, const SurveyPlan& plan);
  /// @param seen_rad  directions in which the fan sees the probe, in the order of the stops; the
  ///                  survey's own angle is the opposite (swivel), or D tan of it across (traverse)
  /// @param dwell     as long as `seen_rad`, shares of the usual dwell, > 0; empty: 1 everywhere. A
  ///                  mean over a share s of the time is noisier by 1 / sqrt(s)
  [[nodiscard]] Sweep sweep(double distance_m,
                            double height_m,
                            const std::vector<double>& seen_rad,
                            const std::vector<double>& dwell = {});

 private:
  Reading reading(double distance_m, double height_m, double seen, double gain, double noise);

  KnownField field_;
  SurveyPlan plan_;
  Dice dice_;
  double gain_ = 1.0;
  double zero_m_s_ = 0.0;
  std::map<double, int> sweeps_at_;  // by distance; only for names
};

/// A survey as if it had been read from files. The same plan gives the same bits anywhere.
[[nodiscard]] Survey make_survey(const KnownField& field, const SurveyPlan& plan);

/// The same survey as survey.toml and sweeps/*.csv.
///
/// @return the TOML file
std::filesystem::path write_survey(const Survey& survey, const std::filesystem::path& folder);

/// What a straight traverse gives, placed on its planes without the help of derive_samples: speed
/// as indicated, noise from a running mean of three, censored below the starting speed. `plan` is
/// taken as a traverse.
[[nodiscard]] std::vector<PlaneSamples> make_plane_samples(const KnownField& field,
                                                           const SurveyPlan& plan);

}  // namespace sweepflux::test
