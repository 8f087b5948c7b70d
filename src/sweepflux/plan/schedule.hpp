#pragma once

#include "sweepflux/base/interrupt.hpp"
#include "sweepflux/capture/survey/survey.hpp"
#include "sweepflux/plan/stops.hpp"

#include <optional>
#include <string>
#include <vector>

namespace sweepflux {

struct KnownStream;

/// What the sweeps are to make certain.
enum class PlanTarget { momentum, flow, map };

struct PlanOptions {
  std::optional<double> budget_s;      ///< time there is; none: until the target, or 9 sweeps
  std::optional<double> wished_share;  ///< half of the wished 95 % interval of the target, relative
  PlanTarget of = PlanTarget::momentum;
  std::size_t count = 0;  ///< sweeps wanted at most; 0: as budget or target say
  int threads = 0;
};

/// One sweep of a schedule, with the standard uncertainties predicted for when it is made.
struct PlannedSweep {
  std::size_t order = 1;
  double distance_m = 0.0;
  double height_m = 0.0;
  std::vector<Stop> stops;
  double minutes = 0.0;
  double elapsed_minutes = 0.0;
  double momentum_uncertainty_after_n = 0.0;  ///< of the plane of this sweep
  double flow_uncertainty_after_m3_s = 0.0;   ///< of the plane of this sweep
  double momentum_share_after = 0.0;          ///< the same, as a share of the value expected now
  double flow_share_after = 0.0;
  double target_share_after = 0.0;  ///< relative, of the target in the least certain plane
};

/// A point of the chart: so much after so many minutes.
struct PlanPoint {
  double minutes = 0.0;
  double target_share = 0.0;  ///< relative standard uncertainty, least certain plane
};

struct Schedule {
  std::vector<PlannedSweep> sweeps;
  bool before_any_data = true;
  bool stop = false;                 ///< the wished uncertainty is reached: no sweep is needed
  bool stalls = false;               ///< it is out of reach: `why` says what holds it
  std::string why;                   ///< one or two sentences
  std::vector<std::string> reasons;  ///< for the distances and heights
  std::vector<std::string> caveats;
  double target_share_now = 0.0;   ///< relative standard uncertainty before the first sweep here
  std::vector<PlanPoint> planned;  ///< best order
  std::vector<PlanPoint> even;  ///< evenly spaced heights at the same minutes, once there are data
  std::size_t knee = 0;         ///< index into `planned`: beyond it little is gained
  double minutes_saved_by_stops = 0.0;  ///< by coarser steps and shorter dwells in the outer region
};

/// What a plan is made from, and what `map` of the same survey is to be made from so that both name
/// the same next sweep: the survey's planes, those wished under [plan], before any sweep those that
/// are proposed, and the draws of the stream through all of them. Where nothing was read the prior
/// takes its speed from plan/stream_guess.
///
/// @throws InputError, NumericalError, Interrupted  as plan_sweeps
[[nodiscard]] KnownStream know_for_plan(const Survey& survey,
                                        const PlanOptions& options,
                                        const Progress& progress = {});

/// Which sweeps to make: before the first from outlet, rig and a rough speed, rehearsed now and
/// then on the most typical draw; after some from what they left uncertain. Greedy by the variance
/// of the draws that a sweep takes away per minute, so every prefix is the best found for its time.
/// A sweep in one plane informs on the others as far as the draws go together. A wish is reached
/// when every plane has a sweep and is within it.
///
/// @param known  by know_for_plan, of the same survey
/// @throws InputError      an option is out of range, or the survey lacks what a plan needs
/// @throws NumericalError  room or time cannot give a useful answer; the message says why
[[nodiscard]] Schedule plan_sweeps(const Survey& survey,
                                   const KnownStream& known,
                                   const PlanOptions& options,
                                   const Progress& progress = {});

/// The same, from know_for_plan(survey, options).
[[nodiscard]] Schedule plan_sweeps(const Survey& survey,
                                   const PlanOptions& options,
                                   const Progress& progress = {});

/// The most informative next sweep: the first that plan_sweeps without options lists. None where no
/// height is left, or none says anything.
[[nodiscard]] std::optional<PlannedSweep> next_sweep(const Survey& survey,
                                                     const KnownStream& known);

}  // namespace sweepflux
